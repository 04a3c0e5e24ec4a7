"""Refill and bleed: what to drain and fill in, what the mixture stands, what air is left, and how to bleed."""
