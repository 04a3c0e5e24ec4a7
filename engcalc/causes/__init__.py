"""What can be wrong with a vehicle, and how often each is met."""
