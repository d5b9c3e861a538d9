"""P, L, R and the Tonnetz; seventh chords one note apart: published cycles and counts."""

from __future__ import annotations

from itertools import product

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.kin import SEVENTHS, plr, seventh_kin, tonnetz
from harmonykit.theory.sets.pcset import PcSet

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
TRIADS = [Chord.of(root, suffix) for root in ROOTS for suffix in ("", "m")]


def cycle(word: str, start: str = "C") -> list[str]:
    found, at, here = [], 0, Chord.parse(start)
    while not found or here.pcs != Chord.parse(start).pcs:
        found.append(here.symbol)
        here = plr(here, word[at % len(word)])
        at += 1
    return found


def test_hexatonic_and_octatonic_cycles() -> None:
    """Cohn 1997: PL comes home after six triads, PR after eight, LR after all 24."""
    assert [len(cycle(word)) for word in ("PL", "PR", "LR")] == [6, 8, 24]
    assert cycle("PL") == ["C", "Cm", "Ab", "Abm", "E", "Em"]


def test_each_undoes_itself_and_keeps_two_notes() -> None:
    for triad, letter in product(TRIADS, "PLR"):
        other = plr(triad, letter)
        assert len(other.pcs & triad.pcs) == 2
        assert other.is_minor != triad.is_minor
        assert plr(other, letter).pcs == triad.pcs


def test_named_words() -> None:
    """Cohn 2012: slide keeps the third, the hexatonic pole keeps nothing, N keeps one."""
    for triad in TRIADS:
        assert len(plr(triad, "S").pcs & triad.pcs) == 1
        assert not plr(triad, "H").pcs & triad.pcs
        assert len(plr(triad, "N").pcs & triad.pcs) == 1
    assert plr("C", "N").symbol == "Fm"
    assert plr("C", "H").pcs == Chord.parse("Abm").pcs


def test_triangles_of_the_tonnetz_are_the_triads() -> None:
    """Cohn 1997: each of the 24 triads is a triangle."""
    grid = tonnetz(12, 4)[::-1]
    found = set()
    for low, high in zip(grid, grid[1:], strict=False):
        for at in range(len(low) - 1):
            found.add(PcSet.of(low[at], low[at + 1], high[at]))
            found.add(PcSet.of(high[at], high[at + 1], low[at + 1]))
    assert found == {triad.pcs for triad in TRIADS}


def test_seventeen_kinds_of_kin() -> None:
    """Cannas, Antonini & Pernazza 2017: seventeen of them move one note (from memory)."""
    kinds = set()
    for suffix in SEVENTHS:
        for kin in seventh_kin(Chord.of("C", suffix)):
            for name in kin.names:
                up = name.root.pitch_class
                kinds.add(frozenset([(suffix, name.quality, up), (name.quality, suffix, -up % 12)]))
    assert len(kinds) == 17


def test_kin_keep_three_notes() -> None:
    for root, suffix in product(ROOTS, SEVENTHS):
        chord = Chord.of(root, suffix)
        for kin in seventh_kin(chord):
            assert len(kin.pcs & chord.pcs) == 3
            assert abs(kin.semitones) in (1, 2)


@pytest.mark.parametrize(("chord", "word"), [("C7", "P"), ("C+", "P"), ("C", "X"), ("C/D", "P")])
def test_what_has_no_kin_is_refused(chord: str, word: str) -> None:
    with pytest.raises(HarmonyError):
        plr(chord, word)
    with pytest.raises(HarmonyError, match="not one of the five"):
        seventh_kin("C6")
