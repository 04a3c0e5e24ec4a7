"""What was read, seen and told, and how likely each is in a simulated vehicle."""
