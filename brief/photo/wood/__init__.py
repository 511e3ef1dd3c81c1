"""What a photograph shows of the wood: its colour, figure, grain and scale."""
