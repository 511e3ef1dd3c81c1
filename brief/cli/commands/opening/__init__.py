"""Opening the program: who may."""
