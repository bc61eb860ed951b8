"""Wiring of the site: settings, addresses, jobs, the base page; it imports no app."""
