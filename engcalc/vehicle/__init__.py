"""A record made ready to be simulated: its heat, its course, what is unknown of the vehicle, and its warm-up."""
