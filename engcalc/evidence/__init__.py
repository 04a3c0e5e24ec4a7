"""Readings, logs, causes and what they say."""
