"""Duties in time, laps and cycles, usual ones by a word, and one duty as a model."""
