"""Schedules: what is due, why, and who goes where."""
