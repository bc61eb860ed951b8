"""A slow, scalar second opinion on every date, written from the rules' sentences alone."""
