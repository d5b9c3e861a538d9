"""A level's page: what is said around the chart.

Every shape of a handout is shown once, with fingers and notes.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.levels import level_pages, level_shapes, tune_line
from harmonykit.lesson.plan.model import Lesson
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune


@pytest.fixture(scope="module")
def pages() -> list[dict[str, Any]]:
    return level_pages(load_lesson(find_data("lessons", "stiff_dominant")), Figures())


@pytest.fixture(scope="module")
def walks() -> list[dict[str, Any]]:
    return level_pages(load_lesson(find_data("lessons", "scale_of_chords")), Figures())


def test_the_head(pages: list[dict[str, Any]], walks: list[dict[str, Any]]) -> None:
    assert pages[0]["title"] == "Ropewalk Blues"
    assert pages[1]["name"] == "Level 2 · First try: a tritone away"
    assert walks[1]["line"] == "32 bars in D major · four beats a bar · 72 to the minute"
    assert walks[0]["form"] == "in order A B A C"


def test_a_dotted_beat_is_counted_as_one(tmp_path: Path) -> None:
    path = tmp_path / "jig.toml"
    path.write_text(
        'format = 1\ntitle = "Jig"\nkey = "D minor"\nmeter = "6/8"\npickup = "3/2"\n'
        '[[sections]]\nname = "A"\nchanges = "| Dm | A7 |"\n',
        encoding="utf-8",
    )
    assert tune_line(read_tune(path), 90) == (
        "two bars in D minor · a pick-up of one beat · two beats a bar (6/8) · 60 to the minute"
    )


def test_each_reason_is_given_once_in_the_handout(pages: list[dict[str, Any]]) -> None:
    reasons = [(one["names"], one["text"]) for page in pages for one in page["reasons"]]
    assert len(set(reasons)) == len(reasons) > 0
    assert [page["earlier"] for page in pages[:4]] == [""] * 4
    assert pages[4]["earlier"] == "The other added chords are explained at level 4."


def test_every_chord_put_in_is_explained(pages: list[dict[str, Any]]) -> None:
    explained: set[str] = set()
    for page in pages:
        explained |= {name for one in page["reasons"] for name in one["names"].split(", ")}
        cells = [c for row in page["rows"] for bar in row["bars"] for c in bar["cells"]]
        put_in = {cell["name"] for cell in cells if cell["inserted"]}
        assert bool(put_in) == (page is not pages[0]) and put_in <= explained


def test_a_shape_with_two_names_is_told_once(walks: list[dict[str, Any]]) -> None:
    """Em7 and G6 share 0-2-0-2, G D E B, on g C E A (by arithmetic)."""
    assert walks[0]["twins"]["all"].count("0-2-0-2 is Em7 and G6") == 1
    assert walks[0]["twins"]["known"] == ""
    assert walks[1]["twins"]["known"].count("0-2-0-2 is Em7 and G6") == 1


def test_one_pair_of_names(lesson_path: Path) -> None:
    """A C E♭ G♭ is F♯ A C E♭, and up to fret 4 it has one shape on g C E A (by arithmetic)."""
    text = lesson_path.read_text(encoding="utf-8")
    lesson_path.write_text(text.replace("hand = 3", "hand = 3\nmax_fret = 4"), encoding="utf-8")
    (page,) = level_pages(load_lesson(lesson_path), Figures())
    assert page["twins"]["all"] == "One shape has two names: 2-3-2-3 is A°7 and F♯°7."
    assert page["watch"] == ""


def test_a_chart_travels_with_boxes_and_with_figures_alone(pages: list[dict[str, Any]]) -> None:
    for page in pages:
        cells = {
            kind: [c for row in page[kind] for bar in row["bars"] for c in bar["cells"]]
            for kind in ("rows", "bare")
        }
        assert [c["name"] for c in cells["rows"]] == [c["name"] for c in cells["bare"]]
        assert any("box" in cell for cell in cells["rows"])
        assert not any("box" in cell for cell in cells["bare"])
        told = {(cell["name"], cell["digits"]) for cell in cells["bare"] if cell["digits"]}
        assert {name for name, _ in told} == {cell["name"] for cell in cells["rows"]}


UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def shipped() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


def test_each_shape_once_at_the_level_that_brings_it(shipped: Lesson) -> None:
    figures, known = Figures(), set()
    found = [level_shapes(played.arrangement, known, figures) for played in shipped.played]
    new = [box["digits"] for shapes in found if shapes for box in shapes["boxes"] if box["new"]]
    played = {v.digits for one in shipped.played for v in one.arrangement.shapes}
    assert sorted(new) == sorted(played)
    for shapes, one in zip(found, shipped.played, strict=True):
        assert shapes is not None
        needed = {v.digits for v in one.arrangement.shapes}
        assert sorted(box["digits"] for box in shapes["boxes"]) == sorted(needed)


def test_fingers_and_notes(shipped: Lesson) -> None:
    """Gm6 as 0-2-0-1 sounds G D E B♭ (by arithmetic); it is held as where it comes first, and other
    fingerings of the level stand below."""
    figures, level = Figures(), shipped.played[0].arrangement
    held = [
        tuple(finger for finger in fingering.fingers if finger)
        for step, fingering in zip(level.steps, level.fingerings, strict=True)
        if fingering and step.voicing and step.voicing.digits == "0-2-0-1"
    ]
    shapes = level_shapes(level, set(), figures)
    assert shapes is not None and "index finger" in shapes["note"]
    (box,) = [box for box in shapes["boxes"] if box["digits"] == "0-2-0-1"]
    svg = figures.table()[box["boxes"]["plain"]]["svg"]
    others = [other for other in dict.fromkeys(held) if other != held[0]]
    assert box["held"] == " ".join(f"or fingers {'-'.join(map(str, other))}" for other in others)
    texts = [part.split("<")[0] for part in svg.split(">") if part.split("<")[0].strip()]
    assert {*map(str, held[0]), "G", "D", "E", "B♭", "Gm6"} <= set(texts)


@pytest.mark.parametrize(
    "large, columns", [(False, {"plain": 7, "chart": 10}), (True, {"plain": 4})]
)
def test_rows_are_no_wider_than_the_page(
    shipped: Lesson, large: bool, columns: dict[str, int]
) -> None:
    """Four strings take 15 mm and stand 9.2 apart; small ones 11.1 and 5.8; in large print 24 and
    14.7.  On 174 mm, with the sides of the outer boxes, seven, ten and four of them."""
    shapes = level_shapes(shipped.played[0].arrangement, set(), Figures(large=large))
    assert shapes is not None and shapes["columns"] == columns


def test_two_figures_beside_a_box_take_room(arranged: Callable[..., Arrangement]) -> None:
    """A box is numbered by its first fret: 10 has a figure more than 9, and 9 no more than 4."""
    columns = {}
    for chord, digits in (("D", "4-5-4-5"), ("C#", "9-10-9-10"), ("D", "10-11-10-11")):
        shapes = level_shapes(arranged(f"{chord}dim7={digits}"), set(), Figures())
        assert shapes is not None
        columns[digits] = shapes["columns"]
    assert columns["4-5-4-5"] == columns["9-10-9-10"]
    assert columns["10-11-10-11"]["chart"] < columns["9-10-9-10"]["chart"]
    assert columns["10-11-10-11"]["plain"] == columns["9-10-9-10"]["plain"]
