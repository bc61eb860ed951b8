"""Logging, asking what is due and what a reading means, through the API."""
