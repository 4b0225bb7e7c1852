"""Moist air, leaks, fans, the humidity of a room."""
