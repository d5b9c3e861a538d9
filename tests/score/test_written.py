"""What is printed of a staff: beams as music21 joins them, brackets, ties, whole rests."""

from __future__ import annotations

from fractions import Fraction as Q
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.score.score import Measure, Staff, Tone
from harmonykit.score.written import Value, Written, values_of, write_staff
from harmonykit.theory.note import Note
from harmonykit.tune.bar import bar_length

C5 = (Note.parse("C5"),)
METERS = ((2, 4), (3, 4), (4, 4), (2, 2), (3, 8), (6, 8), (9, 8), (12, 8))
LENGTHS = (Q(1, 4), Q(1, 4), Q(1, 2), Q(1, 2), Q(3, 4), Q(1), Q(3, 2))


def printed(meter: tuple[int, int], *tones: Tone, number: int = 1) -> tuple[Written, ...]:
    length = tones[-1].end
    measure = Measure(number, meter, length, (Staff(tones),))
    return write_staff(measure, measure.staves[0])


@st.composite
def rows(draw: st.DrawFn, meter: tuple[int, int]) -> tuple[Tone, ...]:
    """Draw notes and rests that fill a measure."""
    found, now, whole = [], Q(0), bar_length(meter)
    while now < whole:
        beats = min(draw(st.sampled_from(LENGTHS)), whole - now)
        found.append(Tone(now, beats, C5 if draw(st.integers(0, 6)) else ()))
        now += beats
    return tuple(found)


def beams_of_music21(meter: tuple[int, int], row: tuple[Written, ...]) -> list[tuple[str, ...]]:
    from music21 import meter as meters
    from music21 import note, stream

    measure = stream.Measure()
    for one in row:
        each: Any = note.Note("C5") if one.tone.notes else note.Rest()
        each.quarterLength = one.beats
        measure.append(each)
    beams = meters.TimeSignature(f"{meter[0]}/{meter[1]}").getBeams(measure)
    names = {"start": "begin", "stop": "end", "continue": "continue"}
    sides = {"left": "backward hook", "right": "forward hook"}
    return [
        tuple(names.get(beam.type) or sides[beam.direction] for beam in found or ())
        for found in beams or [()] * len(row)
    ]


@pytest.mark.parametrize("meter", METERS)
@given(data=st.data())
def test_beams_join_what_music21_joins(meter: tuple[int, int], data: st.DataObject) -> None:
    row = printed(meter, *data.draw(rows(meter)))
    theirs = beams_of_music21(meter, row)
    assert [one.beams[:1] for one in row] == [beams[:1] for beams in theirs]
    # Within longer beats music21 turns the hook of a dotted eighth's sixteenth away from it.
    for one, beams in zip(row, theirs, strict=True) if meter[1] == 4 else ():
        mine = [beam for beam in one.beams if "hook" in beam]
        assert mine == [beam for beam in beams if "hook" in beam]


@pytest.mark.parametrize("meter", METERS)
@given(data=st.data())
def test_every_beam_that_begins_ends(meter: tuple[int, int], data: st.DataObject) -> None:
    running: set[int] = set()
    for one in printed(meter, *data.draw(rows(meter))):
        assert not running or one.tone.notes
        for level, beam in enumerate(one.beams):
            assert (level in running) == (beam in ("continue", "end"))
            running |= {level} if beam == "begin" else set()
            running -= {level} if beam == "end" else set()
        assert not {level for level in running if level >= len(one.beams)}
    assert not running


def test_four_sixteenths_have_two_whole_beams() -> None:
    row = printed((2, 4), *(Tone(Q(n, 4), Q(1, 4), C5) for n in range(4)), Tone(Q(1), Q(1), C5))
    assert [one.beams for one in row] == [
        ("begin",) * 2, ("continue",) * 2, ("continue",) * 2, ("end",) * 2, (),
    ]  # fmt: skip


def test_a_hook_points_to_the_dotted_note_that_it_completes() -> None:
    # Dotted eighth, sixteenth, eighth, and the other way round (common practice, no source).
    for lengths, side in (((3, 1, 2), "backward hook"), ((2, 1, 3), "forward hook")):
        starts = (0, lengths[0], lengths[0] + lengths[1])
        tones = (Tone(Q(a, 4), Q(n, 4), C5) for a, n in zip(starts, lengths, strict=True))
        row = printed((3, 8), *tones)
        assert [one.beams for one in row] == [("begin",), ("continue", side), ("end",)]


def test_a_pickup_is_beamed_as_the_end_of_a_measure() -> None:
    # Three eighths before the measure: one, and two in the last beat.
    tones = [Tone(Q(n, 2), Q(1, 2), C5) for n in range(3)]
    assert [one.beams for one in printed((4, 4), *tones, number=0)] == [(), ("begin",), ("end",)]
    assert [one.beams for one in printed((4, 4), *tones)] == [("begin",), ("end",), ()]


def test_a_tuplet_is_bracketed_from_its_first_note_to_the_one_that_fills_it() -> None:
    lengths = (Q(1, 3), Q(1, 3), Q(1, 3), Q(1), Q(2, 3), Q(1, 3), Q(1))
    tones, now = [], Q(0)
    for beats in lengths:
        tones.append(Tone(now, beats, C5))
        now += beats
    found = [one.tuplet for one in printed((4, 4), *tones)]
    assert found == [("start",), (), ("stop",), (), ("start",), ("stop",), ()]


def test_a_bracket_that_nothing_fills_ends_with_its_last_note() -> None:
    row = printed((1, 4), Tone(Q(0), Q(1, 3), C5), Tone(Q(1, 3), Q(1, 2), C5))
    assert [one.tuplet for one in row] == [("start", "stop"), ()]


def test_a_length_without_a_value_is_tied() -> None:
    row = printed((4, 4), Tone(Q(0), Q(5, 2), C5, tied_in=True), Tone(Q(5, 2), Q(3, 2)))
    assert [(one.beats, one.tied_in, one.tied_out) for one in row] == [
        (2, True, True), (Q(1, 2), True, False), (Q(1, 2), False, False), (1, False, False),
    ]  # fmt: skip
    assert [one.is_first for one in row] == [True, False, True, False]


def test_silence_of_a_whole_measure_is_one_rest() -> None:
    for meter in METERS:
        (rest,) = printed(meter, Tone(Q(0), bar_length(meter)))
        assert rest.value is None and rest.beats == bar_length(meter)
    # A pick-up counts its rests.
    assert all(one.value for one in printed((4, 4), Tone(Q(0), Q(3)), number=0))


def test_a_pickup_is_cut_as_the_end_of_a_measure() -> None:
    # From the second eighth of beat 2: an eighth up to the middle, and a quarter.
    row = (Tone(Q(0), Q(3, 2), C5), Tone(Q(3, 2), Q(1), C5))
    assert [one.beats for one in printed((4, 4), *row, number=0)] == [Q(1, 2), 1, 1]
    assert [one.beats for one in printed((4, 4), *row)] == [Q(3, 2), Q(1, 2), Q(1, 2)]


@pytest.mark.parametrize("beat", [Q(1), Q(1, 2), Q(2)])
def test_each_of_two_triplets_has_a_bracket_of_its_own(beat: Q) -> None:
    tones = [Tone(place * beat / 3, beat / 3, C5) for place in range(6)]
    rest = [Tone(2 * beat, 4 - 2 * beat)] if beat < 2 else []
    row = printed((4, 4), *tones, *rest)
    marks = [one.tuplet for one in row if one.value and one.value.actual == 3]
    assert marks == [("start",), (), ("stop",)] * 2


@given(st.integers(1, 64), st.sampled_from([1, 2, 4, 8, 16, 3, 6, 12, 5, 10]))
def test_values_add_up_to_their_length_and_a_plain_one_is_no_tuplet(upper: int, lower: int) -> None:
    """A type lasts so many quarters, a dot half as much again; 3 sound in the time of 2."""
    lengths = {
        "long": 16, "breve": 8, "whole": 4, "half": 2, "quarter": 1, "eighth": Q(1, 2),
        "16th": Q(1, 4), "32nd": Q(1, 8), "64th": Q(1, 16), "128th": Q(1, 32), "256th": Q(1, 64),
    }  # fmt: skip
    beats = Q(upper, lower)
    found = list(values_of(beats))
    assert sum(one.beats for one in found) == beats
    assert [one.beats for one in found] == sorted((one.beats for one in found), reverse=True)
    for one in found:
        written = lengths[one.type] * (2 - Q(1, 2**one.dots))
        assert written * one.normal / one.actual == one.beats
        if beats.denominator % 3 and beats.denominator % 5:
            assert (one.actual, one.normal) == (1, 1)
    assert Value(Q(1), "quarter", 0) == Value(Q(1), "quarter", 0, 1, 1)
