"""Conductors, generators."""
