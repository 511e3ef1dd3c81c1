"""The instrument: its spec, its drawing, inlays and studio pictures."""
