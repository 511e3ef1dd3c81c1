"""Frets, strings and fretboard."""
