"""The record through the API: what was seen, done, found and answered, read back."""
