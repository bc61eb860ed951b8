"""Travel times of one's own: read from a file, looked over, and used in place of great circles."""
