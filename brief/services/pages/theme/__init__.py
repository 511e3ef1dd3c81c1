"""Theme and references: where a brief begins, and how it stands."""
