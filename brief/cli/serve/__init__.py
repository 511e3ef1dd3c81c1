"""`brief serve`: the address, to whom it is opened, and how a phone finds it."""
