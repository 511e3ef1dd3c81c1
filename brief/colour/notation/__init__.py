"""Colours as people and programs write them."""
