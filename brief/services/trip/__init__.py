"""The trip of a brief: the way to the show and back, what to pack, and the stand."""
