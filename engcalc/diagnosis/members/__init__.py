"""Vehicles with a cause in them, run through a record."""
