"""What all records share: a noun, its fields, and how figures and colours are said."""
