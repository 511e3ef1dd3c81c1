"""People: what they say, what they are shown, and what goes out on paper."""
