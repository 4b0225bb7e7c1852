"""Loads against units: which one carries the house, and why."""
