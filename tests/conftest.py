"""What every test may ask for; the database is the one that DATABASE_URL names, else SQLite."""
