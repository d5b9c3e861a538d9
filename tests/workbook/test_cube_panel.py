"""The cube panel: corners and edges as the published graph has them, a walk that is heard."""

from __future__ import annotations

from collections import Counter

import pytest
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.theory.pcset import PcSet
from harmonykit.workbook.cube_panel import (
    CHORDS,
    CubePanel,
    CubeState,
    compute,
    corner_at,
    draw,
    neighbours,
    show,
)


def test_the_sixteen_are_those_of_the_table() -> None:
    """The chords that alternate with {2, 5, 8, 11}, found by exhaustion: 16, of five kinds."""
    table = {
        PcSet.of(*numbers(row["chord"]))
        for row in rows("eightnote_70")
        if row["alternates_with_2_5_8_11"] == "1"
    }
    chords = compute(CubeState("Bdim7")).chords
    assert {chord.pcs for chord in chords.values()} == table and len(table) == 16
    kinds = Counter(chord.quality for chord in chords.values())
    assert kinds == {"dim7": 2, "7": 4, "m7b5": 4, "m7": 4, "7b5": 2}


@pytest.mark.parametrize("symbol", CHORDS)
def test_an_edge_moves_one_note_by_a_semitone(symbol: str) -> None:
    """Thirty-two edges, as of every cube in four dimensions."""
    chords = compute(CubeState(symbol)).chords
    edges = [(a, b) for a in chords for b in chords if a < b and neighbours(a, b)]
    assert len(edges) == 32
    for low, high in edges:
        (old,), (new,) = chords[low].pcs - chords[high].pcs, chords[high].pcs - chords[low].pcs
        assert (new - old) % 12 in (1, 11)


def test_edges_of_one_voice_are_parallel_and_no_two_corners_meet() -> None:
    corners = [f"{n:04b}" for n in range(16)]
    for bit in range(4):
        slopes = set()
        for low in (c for c in corners if c[bit] == "0"):
            high = low[:bit] + "1" + low[bit + 1 :]
            (x, y), (a, b) = corner_at(low), corner_at(high)
            slopes.add((round(a - x, 6), round(b - y, 6)))
        assert len(slopes) == 1
    places = [corner_at(corner) for corner in corners]
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
    assert shown.lines["walked"].startswith("M") and draw(result).svg.count('id="corner-') == 16


@pytest.mark.parametrize(
    "state", [{"chord": "C7"}, {"walked": ()}, {"walked": ("012",)}, {"walked": ("0000", "0011")}]
)
def test_what_cannot_be_is_refused(state: dict[str, object]) -> None:
    with pytest.raises(HarmonyError):
        CubeState(**state)  # type: ignore[arg-type]
