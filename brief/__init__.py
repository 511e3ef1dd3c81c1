"""A design-brief and inspiration library for makers of acoustic instruments."""

__version__ = "0.1.0"
