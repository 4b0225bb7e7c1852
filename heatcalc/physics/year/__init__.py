"""The year's loop, the hours of a place, and their repair."""
