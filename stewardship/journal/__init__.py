"""The record book: the one way to write a record, and the append-only history of all of them."""
