"""A whole brief as one document: gathered from the tables, and put back into them."""
