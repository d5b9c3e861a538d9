"""One tune made into another."""
