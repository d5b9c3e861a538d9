"""Chord scales as shapes up the neck."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.nearest import scale_of_chords
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.scale import SixthDiminished

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def uke(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE)


# The major-sixth-diminished chord scale on g C E A (common practice; it follows by arithmetic).
CLIMB = "0-0-0-0 1-2-1-2 2-4-3-3 4-5-4-5 5-7-5-7 7-8-7-8 9-9-8-10 10-11-10-11 12-12-12-12".split()


def test_the_chord_scale_of_c_goes_up_the_ukulele() -> None:
    scale = SixthDiminished("C", "major")
    climb = scale_of_chords(scale, uke("0000"))
    assert [shape.digits for shape in climb] == CLIMB
    for place, shape in enumerate(climb):
        assert shape.pcs == (scale.diminished if place % 2 else scale.chord).pcs


def test_the_chord_scale_goes_down_as_it_went_up() -> None:
    scale = SixthDiminished("C", "major")
    down = scale_of_chords(scale, uke("12-12-12-12"), steps=-8)
    assert [shape.digits for shape in down] == CLIMB[::-1]
    assert scale_of_chords(scale, uke("2433"), steps=0) == (uke("2433"),)


def test_muted_strings_stay_muted_in_a_climb() -> None:
    # C E A C, then D F B D, then E G C E.
    start = Voicing.parse("x3221x", GUITAR)
    shapes = scale_of_chords(SixthDiminished("C", "major"), start, steps=2)
    assert [shape.digits for shape in shapes] == ["x-3-2-2-1-x", "x-5-3-4-3-x", "x-7-5-5-5-x"]


def test_a_climb_off_the_neck_or_out_of_the_scale_is_refused() -> None:
    scale = SixthDiminished("C", "major")
    with pytest.raises(HarmonyError, match="step 10 .* is beyond the neck") as caught:
        scale_of_chords(scale, uke("0000"), steps=20)
    assert caught.value.mend == "fewer steps: steps=9"
    with pytest.raises(HarmonyError, match="step -1 .* is beyond the neck"):
        scale_of_chords(scale, uke("0000"), steps=-1)
    with pytest.raises(HarmonyError, match="not a note of"):
        scale_of_chords(scale, uke("0001"))


def test_a_short_string_climbs_by_its_own_pitches() -> None:
    # g D G B D of a banjo, every string one step up: A Eb A C Eb, of F#dim7.  A lies two semitones
    # above the open g, which starts at fret 5: at fret 7 of the neck.
    banjo = Instrument.named("five-string banjo")
    scale = SixthDiminished("G", "major")
    _, up = scale_of_chords(scale, Voicing.parse("00000", banjo), steps=1)
    assert up.digits == "7-1-2-1-1"
    assert set(up.pcs) == {9, 3, 0}
