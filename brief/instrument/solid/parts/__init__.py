"""The parts of an instrument as surfaces, each from the numbers of its sheet."""
