"""When to come back: pure rules over plain columns, no clock, no database."""
