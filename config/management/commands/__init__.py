"""Commands of the wiring."""
