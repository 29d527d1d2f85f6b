"""Faults that a sync back end can have, as patches: of each it is shown that the tests would find it."""
