"""What the chords of a tune do."""
