"""Plain calculations and decisions: no Django, no clock, no input or output."""
