"""The instrument drawn: in its materials, side by side, as plans and as files."""
