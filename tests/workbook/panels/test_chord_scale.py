"""The chord scale panel: chord and diminished seventh by turns, contrary motion, borrowing."""

from __future__ import annotations

from itertools import pairwise

import pytest
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings import shipped
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.panel import Choice, changed
from harmonykit.workbook.panels.chord_scale import ChordScalePanel, draw, show
from harmonykit.workbook.panels.chord_scale_climb import (
    TONICS,
    ChordScaleState,
    begun,
    climb_of,
    compute,
)

OPEN = (67, 60, 64, 69)


def test_the_published_climb_of_c6() -> None:
    """The climb of C6 on g C E A, as the notes of C major with A flat give it by hand."""
    digits = [shape.digits for shape in climb_of(ChordScaleState())]
    assert digits[:4] == ["0-0-0-0", "1-2-1-2", "2-4-3-3", "4-5-4-5"]
    assert digits[-1] == "12-12-12-12"


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("tonic", TONICS)
def test_chord_and_diminished_seventh_by_turns(tonic: str, kind: str) -> None:
    """The alternation theorem: tests/data/eightnote_types.tsv names the four scales."""
    state = begun(tonic, kind, "ukulele")
    scale = SixthDiminished(tonic, kind)
    for step, shape in enumerate(climb_of(state)):
        wanted = scale.diminished if step % 2 else scale.chord
        assert shape.pcs == wanted.pcs, (step, shape.digits)


def test_the_scales_are_those_of_the_table() -> None:
    kinds = {
        row["union_forte"] for row in rows("eightnote_70") if row["alternates_with_2_5_8_11"] == "1"
    }
    ours = {compute(begun("C", kind, "ukulele")).scale.pcs.tn_name for kind in KINDS}
    assert ours < kinds and len(kinds - ours) == 1  # the fifth is the octatonic, 8-28


def test_one_string_falls_while_the_others_rise() -> None:
    state = ChordScaleState(shape="5-5-5-7", falling=2)
    pitches = [[s + f for s, f in zip(OPEN, shape.frets, strict=True) if f is not None]
               for shape in climb_of(state)]  # fmt: skip
    for before, after in zip(pitches, pitches[1:], strict=False):
        ways = [new > old for old, new in zip(before, after, strict=True)]
        assert ways == [True, False, True, True]
        assert {p % 12 for p in after} <= set(SixthDiminished("C").pcs)


def test_a_neighbour_is_borrowed_and_given_back() -> None:
    panel = ChordScalePanel("C", "major", "5-5-5-7")
    panel.set("borrow", "- 0 0 0")
    # C gives way to B, its neighbour below in the scale.
    assert "borrowed: B for C" in panel.facts
    assert show(compute(panel.state)).looks["string-1-fret-5"].role == "was"
    panel.set("borrow", "nothing")
    assert panel.state == ChordScaleState(shape="5-5-5-7")


def test_steps_by_button_by_name_and_by_string() -> None:
    panel = ChordScalePanel()
    panel.set("up")
    panel.press("step-4")
    assert panel.state.step == 4
    panel.press("string-1-fret-1")
    assert panel.state.step == 1
    with pytest.raises(
        HarmonyError, match="step -1 cannot be: steps go from 0, the first shape, to 8"
    ):
        for _ in range(2):
            panel.set("down")
    assert panel.state.step == 0
    panel.press("step-3")
    panel.set("start")
    assert panel.state.shape == "4-5-4-5" and panel.state.step == 0


@pytest.mark.parametrize("instrument", ["ukulele", "guitar", "mandolin"])
def test_a_climb_of_one_shape_counts_no_steps(instrument: str) -> None:
    """Where the neck ends there is no start; an open string falls nowhere."""
    panel = ChordScalePanel(instrument=instrument, shape=begun("C", "major", instrument).shape)
    panel.press(f"step-{len(climb_of(panel.state)) - 1}")
    before = panel.state
    with pytest.raises(HarmonyError, match="no step up from .* fits this neck: start lower"):
        panel.set("start")
    assert panel.state == before
    top = ChordScalePanel(instrument=instrument, shape=compute(before).shape.digits)
    assert "no step up from here fits this neck: " in top.facts and "of 0" not in top.facts
    fallen = ChordScaleState(falling=1)
    assert "fits this neck while the g string falls" in compute(fallen).facts
    for step in (1, -1):
        with pytest.raises(HarmonyError, match="there is one shape"):
            changed(fallen, step=step)


@pytest.mark.parametrize("instrument", shipped.names())
def test_a_climb_begins_on_every_instrument_and_moves(instrument: str) -> None:
    """Every string goes to a higher note of the scale; no short string is in its way."""
    panel = ChordScalePanel()
    panel.set("instrument", instrument)
    climb = climb_of(panel.state)
    assert len(climb) >= 3
    for shape, higher in pairwise(climb):
        assert all(a < b for a, b in zip(shape.sounding, higher.sounding, strict=True))


def test_staff_and_neck_show_the_climb_so_far() -> None:
    shown = show(compute(ChordScaleState(step=2)))
    assert [shown.looks[f"step-{n}"].text for n in range(3)] == ["C6", "B°7", "C6"]
    assert "note-3-1" in shown.looks and "note-4-1" not in shown.looks
    # A flat, the sixth degree that the scale adds, bears its flat.
    assert "♭" in "".join(shown.looks[f"note-2-{v}"].text for v in (1, 2, 3, 4))
    assert draw(compute(ChordScaleState(step=2))).alt.startswith("C major sixth-diminished, step 2")


def test_a_linked_choice_goes_to_its_step() -> None:
    panel = ChordScalePanel()
    assert panel._after_choice(panel.state, Choice(Chord.parse("Bdim7").pcs)).step == 1
    assert panel._after_choice(panel.state, Choice(PcSet.of(0, 1, 2))) == panel.state


@pytest.mark.parametrize(
    "state",
    [
        {"kind": "blue"},
        {"instrument": "lute"},
        {"falling": 5},
        {"step": 9},
        {"shape": "0-1-0-0"},
        {"borrowed": "++++"},
    ],
)
def test_what_cannot_be_is_refused(state: dict[str, object]) -> None:
    with pytest.raises(HarmonyError):
        ChordScaleState(**state)  # type: ignore[arg-type]


def test_a_name_is_spelled_as_the_notes_beside_it() -> None:
    """A part of D°7 on E flat, with C flat as its lowest note, is not called B diminished."""
    start = begun(tonic="Eb", kind="major", instrument="ukulele").shape
    for string in range(5):
        row = ChordScaleState(tonic="Eb", shape=start, falling=string)
        for step in range(len(climb_of(row))):
            found = compute(changed(row, step=step))
            if found.chord:
                assert {*found.chord.tones} <= {*found.scale.notes}
    fallen = compute(ChordScaleState(tonic="Eb", shape=start, falling=3, step=1))
    assert "part of D°7, 4-5-1-5; C♭, F, F and D" in fallen.facts
