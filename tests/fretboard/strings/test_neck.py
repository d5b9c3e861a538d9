"""The capo: a shorter neck with higher strings, its frets counted from the capo."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

GUITAR = Instrument.named("guitar")


# Shapes of the first position over a capo (common practice, no source).
@pytest.mark.parametrize(
    ("capo", "digits", "sounds"),
    [(2, "320003", "A"), (3, "x32010", "Eb"), (5, "x02210", "Dm"), (0, "320003", "G")],
)
def test_a_shape_sounds_higher_by_the_frets_behind_the_capo(
    capo: int, digits: str, sounds: str
) -> None:
    shape = Voicing.parse(digits, GUITAR.with_capo(capo))
    assert shape.pcs == Chord.parse(sounds).pcs


# The ukulele in C with a capo at fret 2 sounds as the one in D: tunings.tsv, aDF#B.
def test_a_ukulele_in_c_becomes_one_in_d() -> None:
    row = next(row for row in rows("tunings") if row["tuning"].startswith("ukulele aDF#B"))
    raised = Instrument.named("ukulele").with_capo(2)
    assert " ".join(map(str, raised.strings)) == row["names"]
    assert raised.reentrant


@given(
    st.sampled_from(["ukulele", "guitar", "mandolin", "five-string banjo"]),
    st.integers(0, 11),
    st.integers(0, 4),
)
def test_pitches_rise_and_wires_stay_where_they_are(name: str, capo: int, fret: int) -> None:
    neck = Instrument.named(name)
    raised = neck.with_capo(capo)
    assert raised.capo == capo
    assert raised.frets == neck.frets - capo
    assert raised.midi == tuple(pitch + capo for pitch in neck.midi)
    assert raised.wire_mm(fret) == pytest.approx(neck.wire_mm(capo + fret) - neck.wire_mm(capo))
    assert [[n.midi for n in beside] for beside in raised.doubles] == [
        [n.midi + capo for n in beside] for beside in neck.doubles
    ]


@given(st.integers(0, 18))
def test_open_strings_keep_plain_names(capo: int) -> None:
    assert all(abs(note.accidental) < 2 for note in GUITAR.with_capo(capo).strings)


def test_a_short_string_keeps_its_start_above_the_capo() -> None:
    banjo = Instrument.named("five-string banjo").with_capo(2)
    assert banjo.tuning == "a E A C# E"
    assert banjo.start(0) == 5
    assert banjo.pitch(0, 7) == 69 + 2


def test_no_capo_changes_nothing() -> None:
    assert GUITAR.with_capo(0) == GUITAR


@pytest.mark.parametrize("fret", [-1, 19, 40])
def test_a_capo_leaves_frets(fret: int) -> None:
    with pytest.raises(HarmonyError, match="leaves no frets"):
        GUITAR.with_capo(fret)


def test_a_neck_takes_one_capo() -> None:
    with pytest.raises(HarmonyError, match="already has a capo at fret 2"):
        GUITAR.with_capo(2).with_capo(1)
