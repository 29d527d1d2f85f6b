"""Land comes into the group's care, and with it what an inspector asks first: who permitted the work on it."""
