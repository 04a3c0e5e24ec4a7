"""The two faces of the program: window and command line."""
