"""Walls, roofs, floors, windows, drawn details."""
