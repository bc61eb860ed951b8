"""Fleet: the register of owners, sites, systems, fans and machines."""
