"""How other libraries name what we name, for the tests that ask them."""

from __future__ import annotations

from harmonykit.theory.note import Note


def music21_name(note: Note) -> str:
    """Return the name as music21 writes it: its flat is a minus sign."""
    return note.letter + ("#" * note.accidental if note.accidental > 0 else "-" * -note.accidental)
