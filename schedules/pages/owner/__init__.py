"""Pages an owner opens by a link, without signing in."""
