"""Why a fan may have failed: what its record shows, gathered for one loss of function."""
