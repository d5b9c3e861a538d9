"""Voice leading: what moves, how far, and how little would do."""
