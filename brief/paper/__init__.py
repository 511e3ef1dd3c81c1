"""What leaves the house: colours for other programs, the booklet and the card to be printed.

These modules are given all that they print, and know nothing of where it came from.
"""
