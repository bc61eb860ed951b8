"""Pages of what is due and where."""
