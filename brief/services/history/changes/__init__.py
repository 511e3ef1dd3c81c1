"""What changed in a brief between two of its documents: thing by thing, in words and colours."""
