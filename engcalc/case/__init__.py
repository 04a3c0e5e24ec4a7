"""Every input: its one declaration, what was typed, the file, the vehicle classes."""
