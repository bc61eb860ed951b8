"""Proofs that nothing is lost or doubled, whatever dies meanwhile, in a database of their own."""
