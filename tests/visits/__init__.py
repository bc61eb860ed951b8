"""Tests of the record: what is sent, what is stored, what it says."""
