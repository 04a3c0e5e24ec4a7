"""From evidence to odds: likelihood, sampler, next check, the proof of a repair, and the one conclusion."""
