"""Kinds of credentials and credentials are entered, corrected, and taken out of use or voided."""
