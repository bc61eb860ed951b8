"""Whether planned walk-throughs happen: figures, the stops behind them, reasons given, a file."""
