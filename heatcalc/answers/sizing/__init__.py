"""Which unit carries the house, at both ends of its range, and what would let a smaller one."""
