"""A place and its climate record."""
