"""The instrument as a picture: front, back and side, part by part."""
