"""One module for each use: the only place where records meet computation."""
