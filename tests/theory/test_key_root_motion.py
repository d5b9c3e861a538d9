"""How roots move: round the circle of fifths, and only there, a root falls a fifth."""

from __future__ import annotations

from itertools import pairwise

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import falls_a_fifth, root_fall

CIRCLE = "C F Bb Eb Ab Db Gb B E A D G C".split()


def test_the_circle_falls_by_fifths() -> None:
    chords = [Chord.parse(f"{root}7") for root in CIRCLE]
    assert all(falls_a_fifth(one, other) for one, other in pairwise(chords))
    assert not any(falls_a_fifth(other, one) for one, other in pairwise(chords))


def test_a_bass_counts_for_nothing_and_a_fall_and_its_way_back_are_an_octave() -> None:
    one, other = Chord.parse("Dm7/G"), Chord.parse("G7/D")
    assert falls_a_fifth(one, other)
    assert root_fall(one, other) + root_fall(other, one) == 12
    assert root_fall(one, one) == 0
