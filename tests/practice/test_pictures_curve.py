"""The plot of progress: what it draws is what it says, in every palette."""

from __future__ import annotations

import pytest
from lawful import ink

from harmonykit.draw.base.colours import PALETTES
from harmonykit.draw.tree import Path, Text
from harmonykit.practice.pictures import MOST_SHOWN, draw_progress, share
from harmonykit.practice.progress import Progress
from harmonykit.practice.sitting import Answered


def answers(kind: str, row: str) -> list[Answered]:
    """Return answers from a row such as ``1r 1r 1w 2h 2n``: level, and how it was."""
    values = {"r": (1.0, 0), "w": (0.0, 0), "h": (1.0, 1), "n": (0.5, 0)}
    return [
        Answered("2031-05-04", "quay", n, kind, "words", int(each[0]), *values[each[1]], "x")
        for n, each in enumerate(row.split(), 1)
    ]


MIXED = answers("scale", "1r 1r 1r 2w 2n 2h") + answers("parents", "3w 3w 2r")


def test_it_says_kinds_levels_and_shares() -> None:
    assert draw_progress(MIXED).alt == (
        "Progress by kind. name the four dominants: 3 answers, from level 3 to 2, 33 % right; "
        "complete the scale: 6 answers, from level 1 to 2, 75 % right"
    )
    assert share(answers("scale", "1r 1n 1w 1w")) == 38


@pytest.mark.parametrize("palette", sorted(PALETTES))
def test_each_kind_has_its_strip_and_each_answer_its_mark(palette: str) -> None:
    sheet = draw_progress(MIXED, palette=palette).sheet
    assert [n for n in sheet.ids if n.startswith("kind-")] == ["kind-parents", "kind-scale"]
    assert {"33 %", "complete the scale"} <= set(sheet.texts)


def test_the_key_has_a_disc_a_ring_and_a_cross_in_that_order() -> None:
    sheet = draw_progress(MIXED).sheet
    looks = []
    for word in ("right", "right with a hint, or half right", "wrong"):
        told = [ink(text) for text in sheet.all(Text) if text.text == word][-1]
        beside = [
            (path.fill, path.stroke)
            for path in sheet.all(Path)
            if abs(path.box.middle[1] - told.middle[1]) < 0.6
            and told.left - 6 < path.box.left < path.box.right <= told.left
        ]
        looks.append(beside)
    disc, ring, cross = looks
    assert disc == [("seventh", "")] and ring == [("paper", "seventh")]
    assert [stroke for _, stroke in cross][1:] == ["third"]


def test_many_answers_stay_on_the_sheet_and_all_are_counted() -> None:
    many = answers("scale", " ".join(["1r", "1w"] * MOST_SHOWN))
    drawing = draw_progress(many)
    assert f"{2 * MOST_SHOWN} answers" in drawing.alt and drawing.width_mm == 174
    assert max(path.box.right for path in drawing.sheet.all(Path)) <= 174


def test_one_answer_can_be_drawn_and_none_is_said() -> None:
    assert "1 answer" in draw_progress(answers("moved", "1r")).alt
    assert draw_progress(Progress()).alt.startswith("No answers yet")
