"""Colours and wood by themselves, without a brief."""
