"""Sweeps, sensitivity, uncertainty and sizing."""
