"""Pictures of the brief's instrument, computed by light: what goes in, the work, what is kept."""
