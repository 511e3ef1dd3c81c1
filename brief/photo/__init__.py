"""Pixels: opening photographs, measuring a patch of one, and palettes."""
