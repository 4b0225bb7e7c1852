"""Design heating and cooling loads of one house in one place, damp days, moisture in its walls, and what was assumed."""
