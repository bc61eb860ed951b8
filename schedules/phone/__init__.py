"""A technician's round for a phone without signal: what is on record, the form, the limits."""
