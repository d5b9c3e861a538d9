"""Sets of notes: the clock of twelve, and the sixteen chords round a diminished seventh."""
