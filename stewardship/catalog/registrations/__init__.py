"""Registrations of products by jurisdiction: entered as data, and held against what is planned or was done."""
