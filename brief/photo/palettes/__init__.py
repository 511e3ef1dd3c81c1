"""The few colours a picture is made of."""
