"""Packages, uncertain inputs, inverse questions."""
