"""Who visits the simulated fleet and when: fixed rounds, perfect knowledge, and the real engine."""
