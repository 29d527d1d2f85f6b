"""Seasons are laid out; a report is asked for and compiled."""
