"""What stands beside the verdict: studies, warm-up, causes, refill; each is built when it is first shown."""
