"""Chords under a melody: what may stand under a note, where chords stand, and their shapes."""
