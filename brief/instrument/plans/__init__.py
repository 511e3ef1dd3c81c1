"""Sheets to measure from at the bench, as SVG, PDF and DXF."""
