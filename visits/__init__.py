"""Visits: what was seen and done, append-only."""
