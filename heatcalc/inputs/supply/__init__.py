"""Cord, appliances, tariff."""
