"""A whole brief as a zip file: written, read, and checked before it is kept."""
