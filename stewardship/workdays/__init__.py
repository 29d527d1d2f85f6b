"""Work days: what is planned, who signs up for which duty, who came and for how long."""
