"""The plant over time: warm-ups, laps, cycles of fan and valve, a parked vehicle."""
