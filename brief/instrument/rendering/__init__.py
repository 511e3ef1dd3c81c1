"""What drawings are drawn on: a canvas in SVG, with photographs, and as pixels or PDF."""
