"""Tests of backups, and of databases that older versions made."""
