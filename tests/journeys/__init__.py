"""A role's real day, through HTTP, with real processes beside it."""
