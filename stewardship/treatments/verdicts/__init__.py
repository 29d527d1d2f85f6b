"""How records of use stand under the rules of their place: what they lack, the time left, until when they are kept."""
