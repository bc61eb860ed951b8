"""A week planned on record: gathered, laid out, kept in versions, changed by hand, published."""
