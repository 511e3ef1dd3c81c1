"""The true colours of a photograph, by a chart, a card or paper in the shot."""
