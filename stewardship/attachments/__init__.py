"""Private files, each named by the SHA-256 of what it holds: scans of cards, signed sheets, photos."""
