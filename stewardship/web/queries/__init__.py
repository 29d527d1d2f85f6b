"""Wide reads for the pages: each with a constant number of statements."""
