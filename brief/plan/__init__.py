"""A piece's way to its day: stages, the maker's week, how likely it is to be ready.

Pure: hours and days go in, days and chances come out. One pair of hands works the stages one after
the other; glue, finish and strings take their own time beside it, on the calendar.
"""
