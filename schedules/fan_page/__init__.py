"""One fan's record read downwards: what it is, what drives its date, its past."""
