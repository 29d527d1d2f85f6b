"""Persons, groups, who is a member as what, their devices, and what each role may do."""
