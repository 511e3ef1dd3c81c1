"""A plan as a file: SVG, PDF or DXF."""
