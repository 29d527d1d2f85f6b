"""The calendar feed: a private address for each person, and what a calendar reads there (RFC 5545)."""
