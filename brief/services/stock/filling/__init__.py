"""Filling a stock: from photographs, from an address, or from a measured table."""
