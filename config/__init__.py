"""Wiring of the site: settings, addresses, jobs, the base page; it imports no app."""

import gc

# A process that starts keeps nearly all that it makes: looking for rubbish after each 700 objects
# took a fifth of the start.
gc.set_threshold(5_000)
