"""Properties in a group's care and their management units."""
