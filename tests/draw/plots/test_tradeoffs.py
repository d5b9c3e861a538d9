"""The panels of colour against movement and difficulty."""

from __future__ import annotations

import pytest
from lawful import lawful
from plotted import TUNES, ways_of, weighed

from harmonykit.arrange.gains_and_costs import Tradeoff
from harmonykit.draw.plots.tradeoffs import between, draw_tradeoffs
from harmonykit.draw.tree import Path, Text
from harmonykit.errors import HarmonyError


@pytest.mark.parametrize("tune", TUNES)
def test_no_two_names_touch_and_marks_stand_in_proportion(tune: str) -> None:
    # Marks of beaten ones lie below the others.
    offered = weighed(tune)
    found = sorted(offered, key=lambda each: not each.beaten_by)
    for width in (152.0, 90.0):
        figure = draw_tradeoffs(offered, width_mm=width)
        lawful(figure, (1.1, 2.5, 4.5, 4.0))
        for name, values in (
            ("movement", [each.movement for each in found]),
            ("difficulty", [each.difficulty for each in found]),
        ):
            parts = figure.sheet.all(Path, within=name)
            marks = [p for p in parts if p.stroke and p.fill]
            assert [p.fill == "ink" for p in marks] == [not each.beaten_by for each in found]
            for axis, wanted in ((0, [each.added for each in found]), (1, values)):
                spots = [p.box.middle[axis] for p in marks]
                low, high = wanted.index(min(wanted)), wanted.index(max(wanted))
                if wanted[low] == wanted[high]:
                    continue
                scale = (spots[high] - spots[low]) / (wanted[high] - wanted[low])
                assert (scale > 0) == (axis == 0)
                assert spots == pytest.approx(
                    [spots[low] + (value - wanted[low]) * scale for value in wanted]
                )
            texts = figure.sheet.all(Text, within=name)
            bold = [t.text for t in texts if t.weight == 600]
            assert sorted(bold) == sorted({each.style for each in found})


def made(style: str, name: str, values: tuple[float, float, float], beaten: str = "") -> Tradeoff:
    way = ways_of("slack_water_waltz")[0]
    added, difficulty, movement = values
    return Tradeoff(style, name, way, added, difficulty, movement, beaten)


def test_it_says_what_each_gives_and_takes() -> None:
    """By hand: 3 chords for 2 semitones a bar and 1.5 points; another is easier and adds none."""
    found = (
        made("plain", "plain", (0, 10, 4)),
        made("rich", "rich, 1 in eight bars", (1, 12, 7), "rich"),
        made("rich", "rich", (3, 11.5, 6)),
        made("low", "low", (0, 9, 4)),
    )
    assert draw_tradeoffs(found).alt == (
        "rich adds 3 chords in eight bars; each moves the voices 0.7 semitones a bar more and "
        "makes the shapes 0.5 points harder. "
        "low adds no chord; against plain it moves the voices no more and makes the shapes 1.0 "
        "points easier. "
        "3 of 4 are on the Pareto front. rich, 1 in eight bars is beaten by rich."
    )
    more = (*found, made("full", "full", (6, 22, 7)))
    assert draw_tradeoffs(more).alt.startswith(
        "An added chord takes the least extra movement in full, "
        "the least extra difficulty in rich. "
    )
    with pytest.raises(HarmonyError, match="0 arrangements to draw"):
        draw_tradeoffs(())


def test_points_along_a_line_go_from_its_start_to_its_end_a_step_apart() -> None:
    """By hand: ten millimetres by steps of one, and of two and a half."""
    assert between((0, 0), (10, 5)) == [(n, n / 2) for n in range(11)]
    assert between((0, 4), (0, -6), 2.5) == [(0, 4), (0, 1.5), (0, -1), (0, -3.5), (0, -6)]
    assert between((2, 1), (2, 1)) == [(2, 1), (2, 1)]


def test_three_that_are_beaten_are_told_and_a_ring_shows_about_a_disc() -> None:
    beaten = [made("rich", f"rich {n}", (1 + n, 12 + n, 7 + n), "rich") for n in range(5)]
    figure = draw_tradeoffs((made("plain", "plain", (0, 10, 4)), *beaten))
    assert figure.alt.count("is beaten by") == 3 and "1 of 6 are on" in figure.alt
    marks = [p for p in figure.sheet.all(Path, within="movement") if p.stroke and p.fill]
    solid, *rings = sorted(marks, key=lambda p: p.box.width)
    assert solid.fill == "ink" and {p.fill for p in rings} == {"paper"}
    for ring in rings:
        inner, outer = ring.box.width - ring.width, solid.box.width + solid.width
        assert 0.2 < (inner - outer) / 2 < 0.5 or inner - outer == pytest.approx(0.4)
