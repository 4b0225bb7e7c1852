"""A mini-split explained: curves, marks, seasonal figures, one place after another."""
