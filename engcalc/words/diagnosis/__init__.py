"""The vehicle in words: the conclusion, its causes and checks, what was seen, the proof of a repair."""
