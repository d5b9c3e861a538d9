"""Shapes for chords: found, ranked, named."""
