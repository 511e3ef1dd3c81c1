"""One module for each command, or for two that belong together."""
