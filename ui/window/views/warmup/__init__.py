"""Warm-up: what was measured over what a healthy vehicle would show, the log it came from, and before against after."""
