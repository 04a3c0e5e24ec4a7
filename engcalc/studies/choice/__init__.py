"""Which part to choose: the least core, real parts side by side, what would mend a duty."""
