"""Pictures of the running demo, for the README: how each is taken, and what it shows."""
