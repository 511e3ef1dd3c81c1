"""What the air does to the parts: the air an instrument is in, and how far they move in it."""
