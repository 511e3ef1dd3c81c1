"""Where to saw each board of the rack."""
