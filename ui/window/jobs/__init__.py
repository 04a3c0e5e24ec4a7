"""The steps of a job: what stands in each, how far it is, and the rail that lists them."""
