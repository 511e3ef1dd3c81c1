"""Inlays: read from a drawing, measured, and laid in their places."""
