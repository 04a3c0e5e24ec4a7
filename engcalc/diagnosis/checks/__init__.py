"""What to look at: every check by hand, which comes next, what was looked at and found."""
