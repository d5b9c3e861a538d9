"""The turning clock: its arithmetic, its picture, and its control."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.operation import transpositions, turns_that_fix
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.theory.sets.setclass import set_classes
from harmonykit.workbook.panels.turn import TurnPanel, TurnState, draw_turned, turned

SETS = st.integers(1, 4095).map(PcSet.from_mask)


@given(SETS)
def test_different_turns_times_fixing_turns_is_twelve(notes: PcSet) -> None:
    """The orbit's size times the stabiliser's is the group's (Lagrange)."""
    assert len(transpositions(notes)) * len(turns_that_fix(notes)) == 12


@given(SETS, st.integers(0, 11))
def test_common_notes_by_counting(notes: PcSet, semitones: int) -> None:
    """Common tones are the pairs that lie the turn apart (Straus 2016: common-tone theorem)."""
    pairs = [p for p in itertools.product(notes, repeat=2) if (p[1] - p[0] - semitones) % 12 == 0]
    assert len(turned(TurnState(notes, semitones)).common) == len(pairs)


def test_published_numbers_of_different_chords() -> None:
    """Distinct transpositions: dim7 3, augmented 4, 7b5 6 (Rahn 1980, degrees of symmetry)."""
    counts = {s: len(transpositions(Chord.of("C", s).pcs)) for s in ("dim7", "+", "7b5", "7")}
    assert counts == {"dim7": 3, "+": 4, "7b5": 6, "7": 12}


def test_no_small_chord_has_fewer_forms_than_the_diminished_seventh() -> None:
    small = [c for c in set_classes() if len(c.prime_form) in (3, 4)]
    fewest = min(small, key=lambda c: 12 // c.symmetry[0])
    assert fewest.forte_name == "4-28"


def test_the_panel_shows_what_the_slider_says() -> None:
    panel = TurnPanel(Chord.parse("Cdim7"))
    for semitones in range(12):
        panel.slider.value = semitones
        result = turned(TurnState(PcSet.of(0, 3, 6, 9), semitones))
        assert panel.facts.value == result.facts
        assert panel.picture.value == draw_turned(result).alone()
        assert ("the same notes" in result.facts) == (semitones % 3 == 0)


def test_the_panel_leaves_text_and_picture_behind() -> None:
    bundle = TurnPanel(PcSet.of(0, 4, 7))._repr_mimebundle_()
    assert bundle["text/plain"].startswith("turned by 0")
    assert bundle["image/svg+xml"].startswith("<svg") or "<svg" in bundle["image/svg+xml"]
    assert "application/vnd.jupyter.widget-view+json" in bundle


def test_a_turn_past_the_octave_is_refused() -> None:
    with pytest.raises(HarmonyError, match="0 to 11"):
        TurnState(PcSet.of(0), 12)
