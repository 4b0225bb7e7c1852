"""What the user says: read, checked once, then frozen."""
