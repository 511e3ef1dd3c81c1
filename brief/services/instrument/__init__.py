"""The numbers, kinds, outlines and inlays of an instrument."""
