"""Walls, roofs, floors, windows and drawn details by themselves."""
