"""Background work: what runs when, and the processes that run it."""
