"""The twelve bars of a blues, over the slots of a tune; an intro and a tag are no part of them."""

from collections.abc import Sequence

from harmonykit.arrange.slots import Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.patterns import BARS, blues_mode
from harmonykit.tune.form import INTRO, TAG


def is_blues_form(slots: Sequence[Slot], key: Key) -> bool:
    """Return whether the slots of a tune are a blues."""
    opening: dict[int, Chord | None] = {}
    for slot in slots:
        for piece in slot.pieces:
            if piece.number and slot.section not in (INTRO, TAG):
                opening.setdefault(piece.bar, slot.chord)
    return bool(blues_mode(list(opening.values()), key))


def bar_of_chorus(slots: Sequence[Slot], last: Slot) -> int:
    """Return in which bar of twelve a slot of a blues ends; 0 before it and after it."""
    if last.section in (INTRO, TAG):
        return 0
    first = next(
        piece.bar
        for slot in slots
        for piece in slot.pieces
        if piece.number and slot.section != INTRO
    )
    return (last.pieces[-1].bar - first) % BARS + 1
