"""Seasons of a group, and the report of each property and season, compiled in the background."""
