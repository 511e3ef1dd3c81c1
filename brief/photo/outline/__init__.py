"""Where in a photograph to look: rectangles, outlines, and the board in it."""
