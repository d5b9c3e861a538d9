"""Chains of ii-V pairs, by hand (common practice, no source); more rows in ``test_function``."""

from __future__ import annotations

import pytest

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.function import analyse_chords
from harmonykit.tune.analysis.numerals import find_chains, is_minor_like, may_be_dominant


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("Dm7 G7 C", [((0, 1), "")]),
        ("Em7 A7 Dm7 G7 C", [((0, 1, 2, 3), "")]),
        # The tonic arrives between them: two chains.
        ("Dm7 G7 C6 Dm7 G7 C6", [((0, 1), ""), ((3, 4), "")]),
        ("Gm7 C7 F", [((0, 1), "IV")]),
        ("C F G C", []),
    ],
)
def test_chains(row, expected):
    found = find_chains(analyse_chords([Chord.parse(s) for s in row.split()], Key.parse("C")))
    assert [(chain.chords, chain.goal) for chain in found] == expected


@pytest.mark.parametrize(
    ("symbol", "minor", "dominant"),
    [("Dm7", True, False), ("Dm7b5", True, False), ("Ddim7", False, False), ("D7", False, True),
     ("D7sus4", False, True), ("Dmaj7", False, False), ("D", False, False)],
)  # fmt: skip
def test_kinds_of_links(symbol, minor, dominant):
    chord = Chord.parse(symbol)
    assert (is_minor_like(chord), may_be_dominant(chord)) == (minor, dominant)
