"""The table of qualities, and the tones that players leave out."""

from __future__ import annotations

import pytest
from tables import numbers, rows

from harmonykit.theory.chord import Chord
from harmonykit.theory.symbols.quality import BY_DEGREES, BY_SUFFIX, QUALITIES, droppable

TYPED = rows("chord_symbols")


def test_suffixes_and_degrees_are_different_each() -> None:
    assert len(BY_SUFFIX) == len(BY_DEGREES) == len(QUALITIES)
    assert len({quality.printed for quality in QUALITIES}) == len(QUALITIES)


@pytest.mark.parametrize(
    "row", [row for row in TYPED if row["droppable"]], ids=lambda row: row["symbol"]
)
def test_what_may_be_left_out(row: dict[str, str]) -> None:
    # chord_symbols.tsv, column droppable: tones that may be missing in a right reading.
    symbol = "B" if "the symbol is B" in row["dialect"] else row["symbol"]
    assert Chord.parse(symbol).droppable == set(numbers(row["droppable"]))


def test_what_names_the_chord_stays() -> None:
    # Common practice: never a flat or sharp five; a diminished seventh is whole.
    for suffix in ("7b5", "7#5", "m7b5", "dim7", "+", "", "m", "sus4"):
        assert droppable(BY_SUFFIX[suffix].degrees) == frozenset()
