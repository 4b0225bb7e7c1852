"""One room: the thermal network, its repeating day, and the hand methods beside it."""
