"""Cord, circuits, generator, standby, and the refrigerant in the room."""
