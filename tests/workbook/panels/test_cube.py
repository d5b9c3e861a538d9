"""The cube panel: a walk from corner to corner that is seen and heard."""

from __future__ import annotations

import pytest

from harmonykit.draw.sets.cube import corner_at
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.panel import Choice
from harmonykit.workbook.panels.cube import CubePanel, CubeState, compute, draw, show


def test_no_two_corners_meet() -> None:
    places = [corner_at(f"{n:04b}") for n in range(16)]
    for n, (x, y) in enumerate(places):
        assert all(abs(x - a) > 19 or abs(y - b) > 8 for a, b in places[:n])


def test_a_walk_goes_on_from_corner_to_corner() -> None:
    panel = CubePanel("Bdim7")
    for corner in ("1000", "1100", "1110", "1111"):
        panel.press(f"corner-{corner}")
    assert len(panel.state.walked) == 5 and "4 semitones" in panel.facts
    assert panel.hear().seconds == 5 * 0.9 + 0.6
    panel.set("back")
    assert panel.state.walked[-1] == "1110"
    panel.press("corner-0000")
    assert panel.state.walked == ("0000",)
    # No line leads there from the fourth: the path is another one.
    assert panel.facts.startswith("A path begins at ") and "semitone" not in panel.facts
    panel.press("corner-0000")
    assert panel.state.walked == ("0000",)


def test_a_walk_does_not_grow_for_ever() -> None:
    panel = CubePanel("Bdim7")
    for n in range(40):
        panel.press(f"corner-{'1000' if n % 2 == 0 else '0000'}")
    assert len(panel.state.walked) == 16


def test_the_picture_marks_kind_place_and_way() -> None:
    result = compute(CubeState("Bdim7", ("0000", "1000")))
    shown = show(result)
    assert shown.looks["corner-1000"].role == "open-bold-here"
    assert shown.looks["corner-0000"].role == "ringed"
    assert shown.lines["walked"][0][0] == "M"
    assert len([n for n in draw(result).sheet.ids if n.startswith("corner-")]) == 16


@pytest.mark.parametrize(
    "state", [{"chord": "C7"}, {"walked": ()}, {"walked": ("012",)}, {"walked": ("0000", "0011")}]
)
def test_what_cannot_be_is_refused(state: dict[str, object]) -> None:
    with pytest.raises(HarmonyError):
        CubeState(**state)  # type: ignore[arg-type]


def test_a_chord_that_is_chosen_elsewhere_is_walked_to_or_begun_from() -> None:
    """A C E flat G flat with A raised is C half-diminished; G7 has three notes of B D F A flat,
    and so is none of the chords that alternate with it."""
    panel = CubePanel("Bdim7")
    assert compute(panel.state).here.pcs == PcSet.of(9, 0, 3, 6)
    near = panel._after_choice(panel.state, Choice(Chord.parse("Cm7b5").pcs))
    assert near.chord == "Bdim7" and near.walked[0] == "0000" and len(near.walked) == 2
    assert compute(near).here.pcs == PcSet.of(0, 3, 6, 10)
    far = panel._after_choice(panel.state, Choice(Chord.parse("G7").pcs))
    assert far.chord != "Bdim7" and len(far.walked) == 1
    assert compute(far).here.pcs == PcSet.of(7, 11, 2, 5)
    nowhere = panel._after_choice(panel.state, Choice(PcSet.of(0, 1, 2)))
    assert nowhere == panel.state
