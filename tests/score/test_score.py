"""Scores as values: what is cut out of one shows what holds there."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as Q

from harmonykit.score.score import Measure, Part, Score, Staff, Symbol, Tone, Transposition, ended
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key


def measure(number: int, *symbols: tuple[int, str]) -> Measure:
    placed = tuple(Symbol(Q(at), Chord.parse(name)) for at, name in symbols)
    staff = Staff((Tone(Q(0), Q(4)),), placed)
    return Measure(number, (4, 4), Q(4), (staff,))


BARS = (measure(1, (0, "C"), (2, "F")), measure(2, (1, "G")), measure(3, (0, "Am")))
SCORE = Score("Sluice", 100, (Part("Lead", Key.parse("C")),), ended(BARS))


def symbols(score: Score) -> list[list[tuple[int, str]]]:
    return [[(int(s.at), str(s.chord)) for s in m.staves[0].symbols] for m in score.measures]


def test_the_chord_that_sounds_is_shown_where_a_cut_starts() -> None:
    assert symbols(SCORE.cut(range(1, 3))) == [[(0, "F"), (1, "G")], [(0, "Am")]]
    assert symbols(SCORE.cut(range(2, 3))) == [[(0, "Am")]]
    assert symbols(SCORE.cut(range(0, 1))) == [[(0, "C"), (2, "F")]]


def test_the_bracket_of_an_ending_that_is_cut_is_on_both_sides() -> None:
    """Engravers draw it anew on the next line, open where it goes on (common practice)."""
    first = replace(measure(1), ending=(2,), ending_starts=True)
    last = replace(measure(2), ending=(2,), ending_stops=True)
    whole = Score("", 100, (Part("", Key.parse("C")),), (measure(0), first, last))
    for cut in (whole.cut(range(2)), whole.cut(range(2, 3))):
        assert [one.ending_starts for one in cut.measures if one.ending] == [True]
        assert [one.ending_stops for one in cut.measures if one.ending] == [True]
    assert not any(one.ending_starts for one in whole.cut(range(1)).measures)


def test_only_the_end_of_the_music_is_its_end() -> None:
    assert [m.is_last for m in SCORE.measures] == [False, False, True]
    assert [m.is_last for m in SCORE.cut(range(0, 2)).measures] == [False, False]
    assert SCORE.cut(range(0, 3)) == SCORE


def test_a_pickup_and_what_completes_a_measure_are_not_counted() -> None:
    assert [Measure(n, (4, 4), Q(4), ()).is_counted for n in (0, 1)] == [False, True]
    assert not Measure(3, (4, 4), Q(1), (), completes=True).is_counted


def test_what_is_not_said_is_plain():
    # MusicXML 4.0, clef: the treble clef stands on the second line.
    part = Part("Lead", Key.parse("C"))
    assert (part.clef.sign, part.clef.line, part.clef.octave) == ("G", 2, 0)
    assert Transposition(-1, -2).octaves == 0
    bar = BARS[0]
    assert not (bar.opens or bar.closes or bar.ending_starts or bar.ending_stops or bar.new_line)
