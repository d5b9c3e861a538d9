"""Idioms of arranging as data: what players write in place of a row of chords, by numerals.

``idioms.toml`` beside this file is the table; a user's own file has the same form.
"""
