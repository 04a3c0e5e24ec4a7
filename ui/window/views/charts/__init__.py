"""The charts that teach."""
