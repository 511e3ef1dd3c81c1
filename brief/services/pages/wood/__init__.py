"""Wood: the rack and what is found for it, pairings, a colour laid on a board."""
