"""A sizing in words: duties, the least core, parts side by side, ranges."""
