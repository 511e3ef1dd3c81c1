"""The instrument: its parts as data, and the picture of its front."""
