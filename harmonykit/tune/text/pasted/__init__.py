"""Tunes as people send them: a message with chords between bar lines, and words round them."""
