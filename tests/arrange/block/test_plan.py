"""Where chords stand under a melody, on small tunes made for one rule each."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from small_tunes import tune_of, tunes

from harmonykit.arrange.block.plan import plan
from harmonykit.arrange.block.stretches import ALONE, CHORD, MOVING, PASSING, SLIDE
from harmonykit.tune.tune import Tune

# All rules of this module are common practice, no source.


def planned(changes: str, melody: str, **more: str) -> list[tuple[str, str]]:
    tune = tune_of(changes, melody=melody, **more)
    return [(each.kind, str(each.chord)) for each in plan(tune) if each.sung is not None]


def test_heavy_beats_have_chords_and_leaps_between_are_alone() -> None:
    assert planned("| C6 |", "| E5 A5 G5 C5 |") == [
        (CHORD, "C6"), (ALONE, "C6"), (CHORD, "C6"), (ALONE, "C6"),
    ]  # fmt: skip


def test_a_passing_note_has_the_other_half_once_a_bar() -> None:
    """C major sixth-diminished: D and F lie in B diminished."""
    assert planned("| C6 | C6 |", "| C5 D5 E5 F5 | G5:4 |")[:4] == [
        (CHORD, "C6"), (PASSING, "Bdim7"), (CHORD, "C6"), (ALONE, "C6"),
    ]  # fmt: skip


def test_fast_notes_are_alone_but_on_heavy_beats() -> None:
    kinds = [
        kind for kind, _ in planned("| C6 |", "| C5:1/2 D5:1/2 E5:1/2 D5:1/2 C5:1/2 E5:1/2 G5:1 |")
    ]
    assert kinds == [CHORD, ALONE, ALONE, ALONE, CHORD, ALONE, ALONE]


def test_a_chromatic_note_slides_into_the_next_chord() -> None:
    """D sharp below E: the shape of C6 a fret lower is B6."""
    found = planned("| C6 |", "| C5 D#5 E5:2 |")
    assert found[1] == (SLIDE, "B6") and found[2] == (CHORD, "C6")


def test_a_held_note_has_the_new_chord_at_a_change() -> None:
    found = planned("| C6 / Am7 / |", "| C5:4 |")
    assert found == [(CHORD, "C6"), (CHORD, "Am7")]


def test_a_long_note_has_lower_voices_that_move_and_a_phrase_end_rests() -> None:
    """Under E of C6 the others step up to A flat, B and D: E7."""
    found = planned("| C6 | C6 | C6 | C6 |", "| E5:4 | C5:4 | E5:4 | C5:4 |")
    assert found[:3] == [(CHORD, "C6"), (MOVING, "E7"), (CHORD, "C6")]
    assert found[-1] == (CHORD, "C6") and found[-2][1] == "C6"


@pytest.mark.parametrize(
    ("changes", "melody", "chord"),
    [
        ("| G7 |", "| E5:4 |", "G13"),
        ("| Dm7 |", "| E5:4 |", "Dm9"),
        ("| Cmaj7 |", "| B4:4 |", "Cmaj7"),
        ("| Cmaj7 |", "| C5:4 |", "C6"),  # the seventh would lie a half step below
        ("| C6 |", "| F5:4 |", "Bdim7"),  # an avoid note: the other half, which resolves with it
    ],
)
def test_a_structural_note_keeps_its_role(changes: str, melody: str, chord: str) -> None:
    assert planned(changes, melody)[0] == (CHORD, chord)


@given(tunes(bars=4))
@settings(max_examples=40)
def test_stretches_follow_without_a_gap_and_not_every_fast_note_has_a_chord(tune: Tune) -> None:
    reached = None
    for each in plan(tune):
        assert reached is None or each.start == reached
        reached = each.end
        if each.kind not in (ALONE, SLIDE) and each.sung is not None and each.chord is not None:
            sounding = {*each.chord.pcs}
            assert each.sung.note.pitch_class in sounding
    assert reached == tune.length
