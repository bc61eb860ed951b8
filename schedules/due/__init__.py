"""From tables to dates: history, reckoning, the stored answer."""
