"""The itinerary: stops, and the legs and stays between them, in the order of time."""
