"""The outline of body, head and bridge, its bouts and its cutaway."""
