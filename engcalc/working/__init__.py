"""Derivations shown line by line: read from the engine, checked by evaluating what is shown."""
