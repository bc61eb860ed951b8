"""Who is told what by email: owed first, sent later, once."""
