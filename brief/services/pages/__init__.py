"""What each page shows, as frozen dataclasses: a template calls their fields by their names."""
