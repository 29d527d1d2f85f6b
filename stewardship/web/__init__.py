"""Pages for three people: who coordinates, who works in the field, who reviews for the board."""
