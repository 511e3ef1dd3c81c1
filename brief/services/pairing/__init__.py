"""Whether an inlay works in a timber, and where the piece will be seen."""
