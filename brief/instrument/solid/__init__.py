"""The instrument as a body in space: closed solids, each in the material of its part."""
