"""The parts of the instrument as they are drawn from the front."""
