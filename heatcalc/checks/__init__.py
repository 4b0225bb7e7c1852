"""Computed against printed: the rows, and what evaluates them."""
