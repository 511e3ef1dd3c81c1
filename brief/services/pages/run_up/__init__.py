"""The run-up to the show: stages, movement, papers, trip and cost."""
