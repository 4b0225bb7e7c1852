"""The house, its air, its ground and its unit as the network sees them: design hours and the year."""
