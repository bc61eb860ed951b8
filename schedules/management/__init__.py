"""Management commands package."""
