"""What the maker owns: pieces, photographs of them, finish tests, and how they look finished."""
