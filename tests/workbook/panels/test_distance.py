"""The distance panel: worked pairs as published, a map against geometry, voices that add up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.draw.tree import Path
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.panels.distance import DistancePanel, draw, scene, show
from harmonykit.workbook.panels.distance_scene import DistanceState, compute, scaled

WORKED = [
    row
    for row in rows("vl_worked30")
    if len(numbers(row["from_pcs"])) == len(numbers(row["to_pcs"]))
]


def symbol_of(pcs: tuple[int, ...]) -> str | None:
    from harmonykit.theory.naming import exact_names

    return next((chord.symbol for chord in exact_names(PcSet.of(*pcs))), None)


def test_pairs_worked_by_hand() -> None:
    """Douthett & Steinbach 1998, Tymoczko 2006, Cohn 2012; see tests/data/README.md."""
    seen = 0
    for row in WORKED:
        pair = [symbol_of(numbers(row[column])) for column in ("from_pcs", "to_pcs")]
        if None in pair or row["kind"] != "B":
            continue
        for norm, column in (("1", "L1"), ("2", "L2"), ("inf", "Linf")):
            result = compute(DistanceState(tuple(map(str, pair)), norm))
            assert result.leading.total == pytest.approx(float(row[column]), abs=1e-5), row
            assert result.rows[0][1] == pytest.approx(float(row[column]), abs=1e-5)
        seen += 1
    assert seen >= 10


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=2, max_size=9))
def test_a_map_of_points_in_a_plane_keeps_every_distance(points: list[tuple[int, int]]) -> None:
    """Classical scaling is exact where the distances are those of a plane (Gower 1966)."""
    given_points = np.array(points, dtype=float)
    apart = np.hypot(*(given_points[:, None] - given_points[None, :]).transpose(2, 0, 1))
    placed, misfit = scaled(apart)
    found = np.array(placed)
    again = np.hypot(*(found[:, None] - found[None, :]).transpose(2, 0, 1))
    assert np.allclose(again, apart, atol=1e-4) and misfit < 1e-3


def test_a_ring_of_four_is_a_square_that_misses_by_what_the_hand_finds() -> None:
    """Sides 1, diagonals 2: the roots are 2, 2, 0 and -1, so a square with diagonals of 2.

    Its sides are the root of 2, four of six distances miss by .414: .338 in the mean of squares.
    """
    result = compute(DistanceState(("A7", "C#dim7", "C7", "C6")))
    assert result.rows == ((0, 1, 2, 1), (1, 0, 1, 2), (2, 1, 0, 1), (1, 2, 1, 0))
    assert result.misfit == pytest.approx(math.sqrt(4 * (math.sqrt(2) - 1) ** 2 / 6), abs=1e-6)


def test_the_voices_add_up_and_arrive() -> None:
    result = compute(DistanceState(("C", "G7"), start=1, end=2))
    assert {move.end for move in result.leading.moves} == set(Chord.parse("G7").pcs)
    assert sum(abs(move.displacement) for move in result.leading.moves) == result.leading.total
    shown = show(result)
    steps = [look.text for part, look in shown.looks.items() if part.startswith("steps-")]
    assert sum(int(text.replace("−", "-") or 0) for text in steps) == sum(
        move.displacement for move in result.leading.moves
    )


def test_a_progression_is_typed_with_or_without_bar_lines() -> None:
    bare = DistancePanel("Dm7 G7").facts
    assert DistancePanel("| Dm7 | G7 |").facts == bare
    panel = DistancePanel()
    for typed in ("|: Dm7 | % | G7 :|", "Dm7, G7", "Dm7 → G7"):
        panel.set("chords", "C6 F6")
        panel.set("chords", typed)
        assert panel.facts == bare


def test_cells_places_and_buttons_pick_a_pair() -> None:
    panel = DistancePanel("C Am F G")
    panel.press("cell-4-2")
    assert (panel.state.start, panel.state.end) == (2, 4)
    panel.press("place-1")
    assert (panel.state.start, panel.state.end) == (4, 1)
    panel.press("place-1")
    assert (panel.state.start, panel.state.end) == (1, 4)
    panel.set("chords", "C, G7")
    for pair in ((1, 2), (1, 2)):
        panel.set("next")
        assert (panel.state.start, panel.state.end) == pair


def test_norms_and_doubling_change_the_numbers() -> None:
    """From C to Am one voice moves, by two semitones; doubling never makes a way longer."""
    panel = DistancePanel("C Am")
    for word, wanted in (("all semitones", 2), ("root of squares", 2.0), ("largest move", 2)):
        panel.set("norm", word)
        assert compute(panel.state).leading.total == wanted  # G to A alone
    panel = DistancePanel(("Cmaj7", "Gmaj7"))
    panel.set("doubling", True)
    assert panel.state.doubling and "notes doubled" in panel.facts
    plain = compute(DistancePanel("Cmaj7 Gmaj7").state)
    assert compute(panel.state).leading.total <= plain.leading.total


def test_the_grid_is_made_of_level_and_upright_lines() -> None:
    grid = [part for part in scene(5).background if isinstance(part, Path)]
    strokes = [stroke for path in grid for stroke in path.strokes()]
    assert len(strokes) == 2 * 4 + 2
    for (x, y), (a, b) in strokes:
        assert x == a or y == b


def test_boxes_on_the_map_do_not_cover_one_another() -> None:
    result = compute(DistanceState(tuple("C C C E F G A B D".split())))
    looks = show(result).looks
    places = [looks[f"place-{n}"].at for n in range(1, 10)]
    for n, (x, y) in enumerate(places):
        for a, b in places[:n]:
            assert abs(x - a) > 13 or abs(y - b) > 6.4
    assert draw(result).svg.count('id="place-') == 9


def test_what_is_no_chord_is_said_before_it_is_counted() -> None:
    with pytest.raises(HarmonyError, match="'blub'"):
        DistanceState(chords=("blub",))
    with pytest.raises(HarmonyError, match="1 chord given") as caught:
        DistanceState(chords=("C",))
    assert "such as A7 C#dim7 C7" in str(caught.value)


@pytest.mark.parametrize(
    "state",
    [{"chords": ("C",)}, {"chords": ("C", "H")}, {"norm": "3"}, {"start": 2}, {"end": 9}],
)
def test_what_cannot_be_is_refused(state: dict[str, object]) -> None:
    with pytest.raises(HarmonyError):
        DistanceState(**state)  # type: ignore[arg-type]
