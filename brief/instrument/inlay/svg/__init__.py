"""A maker's drawing read from SVG: reader → tags → showing → outlines."""
