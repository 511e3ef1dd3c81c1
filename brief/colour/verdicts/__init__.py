"""Whether colours work together: pairs, whole schemes, and proposals."""
