"""The web: JSON API and pages."""
