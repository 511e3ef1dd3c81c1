"""What each page shows, as frozen dataclasses: a template calls their fields by their names.

The sheets are in rooms, one for each group of the register (`services/sheets.py`), the references
with the theme.
"""
