"""The 8,760 hours: drivers, the unit in them, sums, the run load, the cord, a power cut, an owner's log."""
