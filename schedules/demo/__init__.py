"""An invented county with its kitchens, fans and 18 months of history, to look at and to try."""
