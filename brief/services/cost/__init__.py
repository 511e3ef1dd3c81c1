"""What an instrument costs: what it is made of, what is bought, the hours, and what is left."""
