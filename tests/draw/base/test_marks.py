"""The marks that say what a note does in its chord."""

from __future__ import annotations

import pytest

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.marks import draw_key, draw_mark, half_width, mark_drawing
from harmonykit.draw.base.roles import ROLES
from harmonykit.draw.tree import Mark, Path, Text


def drawn(role: str, letter: str = "") -> Mark:
    canvas = Canvas(10, 10)
    draw_mark(canvas, 5, 5, role, 4.2, letter)
    (mark,) = canvas.drawing("m", "m").sheet.all(Mark)
    return mark


def paths(role: str) -> list[Path]:
    return [part for part in drawn(role).parts if isinstance(part, Path)]


def test_shapes_differ_without_their_colours() -> None:
    canvases = {}
    for role in ROLES:
        canvas = Canvas(10, 10, "one ink")
        draw_mark(canvas, 5, 5, role, 4.2)
        canvases[role] = canvas.drawing("m", "m").svg
    assert len(set(canvases.values())) == len(ROLES)


def test_letters_stand_out_from_their_mark() -> None:
    for role in ("note", "root", "third", "seventh", "fifth", "was", "tension"):
        mark = drawn(role, "C")
        letter = mark.parts[-1]
        assert mark.letter == "C" and isinstance(letter, Text)
        ground = [path.fill for path in paths(role) if path.fill][-1]
        assert (ground == "paper") != (letter.colour == "paper")


def test_the_ring_of_where_it_was_has_twelve_dashes() -> None:
    dashed = paths("was")[-1]
    assert 3.14159265 * dashed.box.width / sum(dashed.dash) == pytest.approx(12)


@pytest.mark.parametrize("role", ROLES)
def test_a_mark_alone_fits_its_sheet(role: str) -> None:
    drawing = mark_drawing(role)
    assert drawing.width_mm == pytest.approx(5.88)
    assert ROLES[role].split()[0] in drawing.alt


@pytest.mark.parametrize("role", ROLES)
def test_no_mark_is_wider_than_is_said(role: str) -> None:
    reach = 0.0
    for path in paths(role):
        # Mitred, a line around a turned square reaches root two times its half width.
        half = path.width / 2 * (2**0.5 if role == "tension" else 1)
        reach = max(reach, path.box.right - 5 + half)
    assert reach / 4.2 == pytest.approx(half_width(role), abs=0.05)


def test_the_key_lists_the_marks_that_are_used_in_one_order() -> None:
    key = draw_key(["tension", "root"])
    assert key.sheet.texts == ("root", "tension") and key.alt == "The marks: root, tension"
    # Each mark stands left of its own word.
    assert [mark.role for mark in key.sheet.all(Mark)] == ["root", "tension"]
    one, other = zip(key.sheet.all(Mark), key.sheet.all(Text), strict=True)
    assert one[0].x < one[1].x < other[0].x < other[1].x
    assert draw_key(ROLES).width_mm < 174
