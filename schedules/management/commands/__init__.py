"""Commands of the schedules app; each calls one service."""
