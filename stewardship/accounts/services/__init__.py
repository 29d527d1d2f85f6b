"""What becomes of a group, its members, and what they say of themselves."""
