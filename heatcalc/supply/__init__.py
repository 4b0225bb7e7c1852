"""Cord, circuits, generator, battery, refrigerant charge, money."""
