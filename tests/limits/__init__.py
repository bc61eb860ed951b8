"""Tests of what readings mean."""
