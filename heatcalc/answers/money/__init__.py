"""Bills, tariffs, fuels, carbon, payback."""
