"""Statistics of failures: how often, growing or not, compared with others, and what age does."""
