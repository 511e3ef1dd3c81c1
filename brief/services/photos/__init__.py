"""Photographs: taken in, corrected, outlined and measured."""
