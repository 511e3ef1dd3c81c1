"""Picture files: what they are, what they take of the memory, and their pixels."""
