"""Where colours are seen: light, eyes, distance, and what an observer tells apart."""
