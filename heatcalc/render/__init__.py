"""One file a medium.  Each knows reports and the unit system it is asked for, and nothing of any question."""
