"""Records, migrations and image files."""
