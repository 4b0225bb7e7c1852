"""A year of hours."""
