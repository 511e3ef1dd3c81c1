"""The instrument as a camera would take it, computed by light (Mitsuba 3, an extra)."""
