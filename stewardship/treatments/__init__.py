"""From the mix to the stump: batches, sessions, what was used, and work done without herbicide."""
