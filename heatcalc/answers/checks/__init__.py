"""Computed against printed, one file an area."""
