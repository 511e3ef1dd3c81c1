"""Stocks of boards that others have: measured, looked in, and taken from."""
