"""The nearest shapes of other chords: against what theory says, and against all shapes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.nearest import nearest_shapes, neighbours
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
DIM = Voicing.parse("2323", UKULELE)


# One string of 2-3-2-3 a fret lower or higher (common practice; Cohn 2012, ch. 7: four dominant
# sevenths and four half-diminished ones are the only neighbours).
def test_the_neighbours_of_a_diminished_seventh() -> None:
    found = {near.voicing.digits: near.chords for near in neighbours(DIM, frets=1)}
    lowered = {"1-3-2-3": "Ab7", "2-2-2-3": "D7", "2-3-1-3": "F7", "2-3-2-2": "B7"}
    raised = {"3-3-2-3": "Cm7b5", "2-4-2-3": "F#m7b5", "2-3-3-3": "Am7b5", "2-3-2-4": "Ebm7b5"}
    assert found.keys() == lowered.keys() | raised.keys()
    for digits, symbol in (lowered | raised).items():
        assert Chord.parse(symbol).pcs in {chord.pcs for chord in found[digits]}
        assert symbol in {chord.symbol for chord in found[digits]}


@given(st.sampled_from(["0003", "2010", "5757", "0212"]), st.integers(1, 2), st.integers(1, 3))
def test_neighbours_are_all_shapes_so_near(digits: str, strings: int, frets: int) -> None:
    here = Voicing.parse(digits, UKULELE)
    found = {near.voicing for near in neighbours(here, strings, frets)}
    for near in found:
        gaps = [abs(a - b) for a, b in zip(near.frets, here.frets, strict=True) if a != b]  # type: ignore[operator]
        assert 1 <= len(gaps) <= strings
        assert max(gaps) <= frets
        assert near.pcs != here.pcs
    # Whatever chord of four kinds lies so near is among them.
    for symbol in ("C7", "Am7", "F", "G7", "Dm7", "Em", "Cmaj7", "C6", "Bb6", "Fm6", "E7"):
        chord = Chord.parse(symbol)
        for shape in find_voicings(chord, UKULELE, 15, wanted=Wanted(max_span=15, omit=())):
            gaps = [abs(a - b) for a, b in zip(shape.frets, here.frets, strict=True) if a != b]  # type: ignore[operator]
            if 1 <= len(gaps) <= strings and max(gaps) <= frets and shape.pcs != here.pcs:
                assert shape in found


def test_shapes_of_a_chord_are_sorted_by_either_measure() -> None:
    # From 2-0-1-0 to C some shapes move fewer strings, and others the hand less far.
    here = Voicing.parse("2010", UKULELE)
    few, near = (nearest_shapes(here, Chord.parse("C"), by) for by in ("strings", "mm"))
    assert set(few) == set(near)
    moved, far = ([len(each.strings) for each in way] for way in (few, near))
    assert moved == sorted(moved) and far != sorted(far)
    assert [each.mm for each in near] == sorted(each.mm for each in near)
    chord = Chord.parse("D7")
    every = set(find_voicings(chord, UKULELE, wanted=Wanted(omit=())))
    for by in ("strings", "mm"):
        found = nearest_shapes(DIM, chord, by)
        assert {near.voicing for near in found} == every
        keys = [(len(near.strings), near.mm) for near in found]
        first = [key if by == "strings" else key[::-1] for key in keys]
        assert first == sorted(first)
        for near in found:
            assert near.mm == travel_mm(DIM, near.voicing)
            assert near.chords == (chord,)
    assert str(nearest_shapes(DIM, chord)[0]) == "2-2-2-3 D7: 1 string, 5 mm"
    assert "2 strings" in str(nearest_shapes(DIM, chord)[1])


def test_what_else_is_asked_is_handed_on() -> None:
    here = Voicing.parse("x32010", GUITAR)
    low, wanted = Limits(max_fret=3), Wanted(mutes="outer", bass="F")
    found = nearest_shapes(here, Chord.parse("F"), limits=low, wanted=wanted)
    assert found
    assert all(near.voicing.highest_fret <= 3 for near in found)
    assert all(near.voicing.lowest % 12 == 5 for near in found)


def test_muted_strings_stay_muted_and_the_hand_has_its_limits() -> None:
    here = Voicing.parse("x32010", GUITAR)
    hand = Limits(max_fret=5, barre="none")
    found = neighbours(here, 2, 3, hand)
    assert found
    assert all(near.voicing.frets[0] is None for near in found)
    assert all(can_hold(near.voicing.frets, GUITAR, hand) for near in found)
    assert len(found) < len(neighbours(here, 2, 3))


def test_an_open_string_of_a_banjo_jumps_to_no_missing_fret() -> None:
    banjo = Instrument.named("five-string banjo")
    found = neighbours(Voicing.parse("00000", banjo), 2, 3)
    assert found
    assert all(near.voicing.frets[0] == 0 for near in found)


def test_what_cannot_be_measured_is_refused() -> None:
    with pytest.raises(HarmonyError, match="not a measure"):
        neighbours(DIM, by="feel")
    with pytest.raises(HarmonyError, match="1-9-1-9 has no fingering"):
        nearest_shapes(Voicing.parse("1919", UKULELE), Chord.parse("C"))
