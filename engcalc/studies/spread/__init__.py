"""How far answers may be off: laws of the inputs, points, ranges, shares of the variance."""
