"""The proof of a repair: the run after it beside the one before."""
