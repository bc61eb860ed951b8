"""The tests of every part, one folder for each part they check."""
