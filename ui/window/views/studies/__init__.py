"""The studies of one duty: a sweep, a map, what the temperature hangs on, what limits, and all duties side by side."""
