"""The classroom in words: benches, sheets, charts, and the symbols of a class."""
