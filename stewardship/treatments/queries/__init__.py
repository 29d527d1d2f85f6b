"""Wide reads of treatments, outside an entry."""
