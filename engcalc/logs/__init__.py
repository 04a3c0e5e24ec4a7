"""Log files as found: their text, times, columns, units and sensors, read into one record."""
