"""The run-up of a brief: its stages, the days the bench is not free, and what is to be expected."""
