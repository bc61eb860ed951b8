"""Sheets of labels for fans: a code that opens the fan's page on a phone, and no secret in it."""
