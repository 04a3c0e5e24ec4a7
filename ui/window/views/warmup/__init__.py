"""Warm-up: what was measured over what a sound vehicle would show, the log it came from, and before against after."""
