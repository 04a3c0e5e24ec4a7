"""The command line; runs with PySide6 absent."""
