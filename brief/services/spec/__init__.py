"""The build spec: its parts, their scheme, and what the rack has for them."""
