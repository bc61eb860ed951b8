"""A technician's day for paper: each roof with what is due, its past, limits, parts, cautions."""
