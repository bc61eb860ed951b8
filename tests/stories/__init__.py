"""Each hand-written story of the demo fleet, its date reckoned on paper from the rules."""
