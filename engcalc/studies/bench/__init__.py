"""An exchanger on a bench with any two fluids: a class's measured points, and problems of known and unknown."""
