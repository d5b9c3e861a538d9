"""The neck panel: shapes as counted by exhaustion, notes where the strings have them."""

from __future__ import annotations

import pytest
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings import shipped
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.panels.neck import NeckPanel, NeckState, compute, draw, show
from harmonykit.workbook.panels.scenes import place_of

COUNTS = [row for row in rows("voicings_uke_counts") if row["tuning"] == "gCEA"]
OPEN = (67, 60, 64, 69)


@pytest.mark.parametrize("row", COUNTS[:12], ids=lambda row: row["chord"])
def test_no_more_shapes_than_were_counted(row: dict[str, str]) -> None:
    """Counted by two independent algorithms without a hand; a hand only takes some away."""
    panel = NeckPanel(row["chord"])
    found = compute(panel.state).shapes
    assert 0 < len(found) <= int(row["span_le_3"])
    for shape in found:
        pitches = [s + f for s, f in zip(OPEN, shape.frets, strict=True) if f is not None]
        assert PcSet.of(*pitches) == Chord.parse(row["chord"]).pcs


def test_the_notes_are_where_the_strings_have_them() -> None:
    """Open strings g C E A: MIDI 67, 60, 64, 69, a fret a semitone."""
    looks = show(compute(NeckState(PcSet.of(0, 4, 7, 9)))).looks
    for part, look in looks.items():
        if part != "name":
            string, fret = place_of(part)
            assert look.on == ((OPEN[string] + fret) % 12 in (0, 4, 7, 9)), part


def test_every_instrument_that_ships_is_offered_and_drawn() -> None:
    """The banjo's short string: G4 beside fret 5, A4 at fret 7 (common practice, no source)."""
    panel = NeckPanel("G6")
    for name in shipped.names():
        panel.set("instrument", name)
        panel.set("next")
        assert name in panel.facts and compute(panel.state).shapes
        for part, look in show(compute(panel.state)).looks.items():
            if part != "name":
                pitch = Instrument.named(name).pitch(*place_of(part))
                assert look.on == (pitch % 12 in (7, 11, 2, 4)), (name, part)
    (control,) = (each for each in panel.controls() if each.id == "instrument")
    assert control.options == shipped.names() and name == "five-string banjo"
    first = [part for part in panel.parts() if part.startswith("string-1-")]
    assert first == [f"string-1-fret-{fret}" for fret in (0, *range(6, 13))]
    spots = {spot.id: spot.x for spot in panel.at(panel.state).scene.spots}
    assert spots["string-2-fret-4"] < spots["string-1-fret-0"] < spots["string-2-fret-6"]
    panel.press("string-1-fret-7")  # A
    assert panel.state.notes == Chord.parse("G6").pcs | PcSet.of(9)


def test_steps_go_round_all_shapes_and_back() -> None:
    panel = NeckPanel("C7")
    found = len(compute(panel.state).shapes)
    panel.set("next")
    seen = []
    for _ in range(found):
        seen.append(panel.state.shape)
        panel.set("next")
    assert seen == list(range(1, found + 1)) and panel.state.shape == 1
    panel.set("previous")
    assert panel.state.shape == found
    panel.set("all")
    assert panel.state.shape == 0


def test_a_shape_has_its_marks_and_its_line() -> None:
    panel = NeckPanel("C7")
    while compute(panel.state).shape is None or "0-0-0-1" not in panel.facts:
        panel.set("next")
    shown = show(compute(panel.state))
    roles = [shown.looks[f"string-{s}-fret-{f}"].role for s, f in ((1, 0), (2, 0), (3, 0), (4, 1))]
    assert roles == ["fifth", "root", "third", "seventh"]
    assert len(shown.lines["shape"]) == 4
    assert "B♭" in draw(compute(panel.state)).svg
    assert panel.hear().seconds == 1.5


def test_a_pressed_place_turns_its_note_on_everywhere() -> None:
    panel = NeckPanel("C6")
    panel.press("string-4-fret-1")
    assert panel.state.notes == PcSet.of(0, 4, 7, 9, 10)
    assert panel.facts.endswith("no shapes to step through")
    panel.set("next")
    assert panel.state.shape == 0


def test_a_set_without_a_name_has_shapes_too() -> None:
    panel = NeckPanel(PcSet.of(0, 1, 2))
    panel.set("next")
    shape = compute(panel.state).shape
    assert shape is not None and shape.pcs == PcSet.of(0, 1, 2)


@pytest.mark.parametrize("state", [{"instrument": "lute"}, {"shape": 1}, {"shape": -1}])
def test_what_cannot_be_is_refused(state: dict[str, object]) -> None:
    with pytest.raises(HarmonyError):
        NeckState(**state)  # type: ignore[arg-type]
