"""Live: a vehicle read while it warms up, or a log played as if it were."""
