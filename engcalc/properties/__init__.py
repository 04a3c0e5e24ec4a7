"""Fluids, fuels and metals as fast fits."""
