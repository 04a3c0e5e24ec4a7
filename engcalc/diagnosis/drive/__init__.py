"""A test drive that settles the most a minute."""
