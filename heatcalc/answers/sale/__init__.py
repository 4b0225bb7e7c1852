"""What a buyer is told: likely range, promise, papers, the live page."""
