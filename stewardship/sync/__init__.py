"""Everything a person can do, by any door: verbs, one ledger, push and pull."""
