"""Causes: odds in words, what carries them, what each cause would show, and the next check with its result."""
