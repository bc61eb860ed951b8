"""Measures of speed, taken on invented fleets in a database of their own."""
