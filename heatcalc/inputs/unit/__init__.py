"""A unit's own table."""
