"""The clock panel: classes and vectors as published, its picture, its controls."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.panels.clock import (
    ClockPanel,
    ClockState,
    compute,
    draw,
    scene,
    show,
    turned,
)

SETS = st.integers(0, 4095).map(PcSet.from_mask)


@pytest.mark.parametrize("row", rows("setclasses")[1:], ids=lambda row: row["forte"])
def test_class_vector_and_symmetry_are_those_of_the_published_table(row: dict[str, str]) -> None:
    """Forte 1973, App. 1; see tests/data/README.md."""
    facts = compute(ClockState(PcSet.of(*numbers(row["forte_prime"])))).facts
    assert f": {row['forte']}" in facts
    assert f"vector {row['icv'].replace(',', ' ')};" in facts
    turns, mirrors = row["tn_sym"], row["tni_sym"]
    said = f"; unchanged by {turns} turn{'' if turns == '1' else 's'} and "
    said += mirrors if mirrors != "0" else "no"
    assert said in facts


@given(SETS, st.integers(0, 11))
def test_twelve_steps_and_two_mirrors_lead_back(notes: PcSet, mirror: int) -> None:
    panel = ClockPanel(notes)
    for _ in range(12):
        panel.set("up")
    assert panel.state.notes == notes
    panel.set("mirror", f"T{mirror}I")
    panel.set("invert")
    assert panel.state.notes == PcSet.of(*(mirror - pc for pc in notes))
    panel.set("invert")
    assert panel.state.notes == notes


@given(SETS)
def test_what_is_on_is_pressed_and_marked(notes: PcSet) -> None:
    looks = show(compute(ClockState(notes))).looks
    assert {pc for pc in range(12) if looks[f"pc-{pc}"].on} == set(notes)
    assert all(looks[f"pc-{pc}"].name.endswith("on") == (pc in notes) for pc in range(12))
    assert all((looks[f"pc-{pc}"].role == "off") == (pc not in notes) for pc in range(12))


def test_pressing_a_note_turns_it_on_and_off() -> None:
    panel = ClockPanel("C")
    panel.press("pc-10")
    assert panel.state.notes == PcSet.of(0, 4, 7, 10) and panel.facts.endswith("C7")
    panel.press("pc-10")
    assert panel.state.notes == PcSet.of(0, 4, 7)


def test_a_turned_chord_keeps_its_kind_and_is_spelled_by_it() -> None:
    after = turned(ClockState(PcSet.of(0, 4, 7, 10), chord="C7"), 1)
    assert after.chord == "Db7" and after.was == PcSet.of(0, 4, 7, 10)
    looks = show(compute(after)).looks
    # D flat, F, A flat, C flat: the seventh is a flat seventh, so it is no B.
    assert looks["pc-11"].text == "C♭" and looks["pc-11"].role == "seventh"
    assert looks["pc-0"].role == "was"


def test_axes_are_drawn_where_there_are_some() -> None:
    """A diminished seventh has four mirrors, each with an axis (Rahn 1980); C major has none."""
    shown = show(compute(ClockState(PcSet.of(0, 3, 6, 9), axes=True)))
    assert [letter for letter, _ in shown.lines["axes"]].count("M") == 4
    assert show(compute(ClockState(PcSet.of(0, 4, 7), axes=True))).lines["axes"] == ()


def test_the_still_picture_shows_what_the_panel_shows() -> None:
    picture = draw(compute(ClockState(PcSet.of(0, 4, 7))))
    assert picture.alt.startswith("C, E and G: 3-11B")
    assert picture.svg.count('class="off"') == 9
    assert 'aria-label="C, E and G' in picture.svg and 'role="img"' in picture.svg
    assert set(scene().live().split('data-part="')[1:][0].split('"')[:1]) == {"pc-0"}


@pytest.mark.parametrize(
    ("state", "said"),
    [({"mirror": 12}, "T12I"), ({"notes": PcSet.of(0, 1), "chord": "C7"}, "not those of C7")],
)
def test_what_cannot_be_is_refused(state: dict[str, object], said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        ClockState(**state)  # type: ignore[arg-type]
