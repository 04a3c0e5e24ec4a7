"""The verdict in words: the headline, what was found, why, and how sure it is."""
