"""Chord symbols, read and written."""
