"""Closing a work day: what must be true first."""
