"""Asking the rack: what would serve the open parts best, what a piece could serve, what is near."""
