"""Where the sun is and what falls on a plane."""
