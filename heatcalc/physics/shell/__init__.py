"""Layers, glass, ground, steel, moisture: what a shell lets through."""
