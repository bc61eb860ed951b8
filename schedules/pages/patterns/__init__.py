"""What keeps failing: the fleet's patterns, and one with what stood around each failure."""
