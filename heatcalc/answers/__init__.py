"""What the user asks: each answer keeps its terms, its assumptions and their sources."""
