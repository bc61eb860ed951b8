"""Measures of speed on invented fleets in a scratch database; of rules, in simulated fleets."""
