"""A level's page: what is said around the chart.

Every shape of a handout is shown once, with fingers and notes.
"""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sheets import texts_of
from small_arrangements import Arranged

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.writing import write_draft
from harmonykit.lesson.handout.chart import ROW_MM
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.levels import level_pages, said_along, tune_line
from harmonykit.lesson.handout.pdf import gather_handout
from harmonykit.lesson.handout.shapes import Told, level_shapes
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
    assert walks[1]["facts"] == ["32 bars in D major", "four beats a bar · 72 beats a minute"]


def test_a_dotted_beat_is_counted_as_one(tmp_path: Path) -> None:
    path = tmp_path / "jig.toml"
    path.write_text(
        'format = 1\ntitle = "Jig"\nkey = "D minor"\nmeter = "6/8"\npickup = "3/2"\n'
        '[[sections]]\nname = "A"\nchanges = "| Dm | A7 |"\n',
        encoding="utf-8",
    )
    assert tune_line(read_tune(path), 90) == (
        "two bars in D minor · a pick-up of one beat · two beats a bar (6/8) · dotted quarter = 60"
    )


def test_each_reason_is_given_once_in_the_handout(pages: list[dict[str, Any]]) -> None:
    reasons = [(one["names"], one["text"]) for page in pages for one in page["reasons"]]
    assert len(set(reasons)) == len(reasons) > 0


def test_every_chord_put_in_is_explained(pages: list[dict[str, Any]]) -> None:
    explained: set[str] = set()
    for page in pages:
        explained |= {name for one in page["reasons"] for name in one["names"].split(", ")}
        rows = page["charts"][0]["rows"]
        names = [name for row in rows for bar in row["bars"] for name in bar["names"]]
        put_in = {name["text"] for name in names if name["added"]}
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


def test_a_chart_travels_in_its_forms_the_richest_first(pages: list[dict[str, Any]]) -> None:
    """With diagrams and the melody, with diagrams, plain; and tight, where that is another."""
    for page in pages:
        forms = [
            (any(row["boxes"] for row in chart["rows"]), chart["sung"]) for chart in page["charts"]
        ]
        assert list(dict.fromkeys(forms)) == [(True, True), (True, False), (False, False)]
        charts = [json.dumps(chart) for chart in page["charts"]]
        assert len(set(charts)) == len(charts)


def test_where_all_diagrams_have_no_room_the_new_ones_are_drawn(
    pages: list[dict[str, Any]],
) -> None:
    """All shapes large, then small, then the new ones; known ones have their frets."""
    shown: set[str] = set()
    for page in pages:
        own = {box["digits"] for box in page["shapes"]["boxes"]}
        drawn = [
            ({box["frets"] for row in chart["rows"] for box in row["boxes"]}, chart)
            for chart in page["charts"]
            if not chart["sung"]
        ]
        some = [own - shown] if shown & own and own - shown else []
        kinds = list(dict.fromkeys(frozenset(found) for found, _ in drawn))
        assert kinds == [frozenset(one) for one in (own, *some, ())]
        for found, chart in drawn:
            told = [one["text"] for row in chart["rows"] for one in row["frets"]]
            # A shape has its frets over the chart where it has no diagram.
            assert found.union(told) == own
        high = [sum(row["up"] + row["down"] for row in chart["rows"]) for _, chart in drawn]
        assert high == sorted(high, reverse=True) and len(set(high)) >= 3
        shown |= own


# What a sheet of A4 has between its margins, and what head, order and strum take of it, measured.
BODY_MM, ABOVE_MM, BETWEEN_MM = 260.0, 50.0, 2.4


def test_a_crowded_tune_has_diagrams_over_the_chart_of_each_level(
    tmp_path: Path,
) -> None:
    """Three verses, four chords in a bar: the first form that a page holds shows what is new."""
    path = write_draft(
        tmp_path / "draft.md", "lamp_for_the_late_boat", "lamp_for_the_late_boat", "ukulele"
    )
    pages = level_pages(load_lesson(path), Figures())
    assert len(pages) == 5
    for page in pages:
        drawn = [any(row["boxes"] for row in chart["rows"]) for chart in page["charts"]]
        high = [
            sum(row["up"] + row["down"] + BETWEEN_MM for row in chart["rows"])
            for chart in page["charts"]
        ]
        first = next(n for n, each in enumerate(high) if each < BODY_MM - ABOVE_MM)
        assert drawn[first]


def test_the_hardest_change_is_practised_first(pages: list[dict[str, Any]]) -> None:
    """Two changes as pairs, the verbs that have something to say, and the loop of one of them."""
    for page in pages:
        assert len(page["changes"]) == 2
        for pair in page["changes"]:
            verbs = [verb for verb, _ in pair["lines"]]
            assert verbs[0] in ("bar", "bars") and len(verbs) == len(set(verbs)) > 1
        assert page["loop"] and len(page["loop"]["bars"]) == 2
        # Half of these levels are at 96 or less: the last tempo is the level's own.
        assert re.search(r", then (\d+) beats a minute", page["loop"]["note"])


UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def shipped() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


def test_each_shape_once_at_the_level_that_brings_it(shipped: Lesson) -> None:
    figures, known = Figures(), Told()
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
    shapes = level_shapes(level, Told(), figures)
    assert shapes is not None and shapes["note"] == "numbers are fingers"
    (box,) = [box for box in shapes["boxes"] if box["digits"] == "0-2-0-1"]
    svg = figures.table()[box["boxes"]["plain"]]["svg"]
    others = [other for other in dict.fromkeys(held) if other != held[0]]
    assert box["held"] == " ".join(
        f"or fingers {'-'.join(map(str, other))}" for other in others[:1]
    )
    texts = [part.split("<")[0] for part in svg.split(">") if part.split("<")[0].strip()]
    assert {*map(str, held[0]), "G", "D", "E", "B♭", "Gm6"} <= set(texts)


def test_shapes_stand_in_order_of_playing_with_their_first_bars(shipped: Lesson) -> None:
    way = shipped.played[0].arrangement
    shapes = level_shapes(way, Told(), Figures())
    assert shapes is not None
    assert [box["digits"] for box in shapes["boxes"]] == [v.digits for v in way.shapes]
    bars = [int(box["from"].removeprefix("from bar ")) for box in shapes["boxes"]]
    assert bars == sorted(bars) and bars[0] == 1


def test_rows_are_no_wider_than_the_page(shipped: Lesson) -> None:
    """On 174 mm: strings and air, 18 + 7 to play from, 15 + 6 plain; in large print 21 + 12, and
    18 + 7 where known; the sides of the outer boxes beside them."""
    found = {}
    for large in (False, True):
        shapes = level_shapes(shipped.played[0].arrangement, Told(), Figures(large=large))
        assert shapes is not None
        found |= {(size, large): count for size, count in shapes["columns"].items()}
    plain = {("play", False): 6, ("plain", False): 8}
    assert found == plain | {("plain", True): 5, ("known", True): 6}


def test_a_caution_stands_with_the_level_that_brings_its_shape() -> None:
    """0-2-1-1 is a barre over two strings, at four levels: it is told once."""
    known, lesson = Told(), load_lesson(find_data("lessons", "four_dominants"))
    told = [level_shapes(one.arrangement, known, Figures()) for one in lesson.played]
    shapes = [one["shapes"] for level in told if level for one in level["cautions"]]
    assert sum("0-2-1-1" in each for each in shapes) == 1
    for level in told:
        said = "".join(one["text"] for one in level["cautions"]) if level else ""
        assert said.count("see a doctor or physiotherapist.") == bool(said)


FIRST_MM = 18.0  # who sees a shape for the first time sees it so wide, from string to string


@pytest.mark.parametrize("name", ["one_voice_moves", "three_fall_one_rises", "stiff_dominant"])
def test_the_first_shapes_are_large(name: str) -> None:
    figures = Figures()
    first, *later = level_pages(load_lesson(find_data("lessons", name)), figures)
    assert not first["shapes"]["small"] and all(page["shapes"]["small"] for page in later)
    drawn = figures.table()
    for one in first["shapes"]["boxes"]:
        box = drawn[one["boxes"]["play"]]
        assert box["wide"] - 2 * box["left"] >= FIRST_MM - 0.01


SEVEN_CHORDS = """format = 1
title = "Seven at Once"
key = "A minor"
meter = "3/4"
tempo = 112
style = "waltz"
form = ["A", "A", "B", "A"]

[[sections]]
name = "A"
changes = "| Am | Am | Dm6 | Dm6 | E7 | E7 | Am | Am |"
melody = "| E4:3 | A4:3 | B4:3 | A4:3 | G#4:3 | B4:3 | C5:3 | A4:3 |"

[[sections]]
name = "B"
changes = "| C | C7 | F | F | Dm6 | Am | B7 | E7 |"
melody = "| G4:3 | C5:3 | F5:3 | C5:3 | D5:3 | C5:3 | B4:3 | G#4:3 |"
"""


def test_seven_shapes_stand_in_two_rows_and_the_change_that_matters_below(tmp_path: Path) -> None:
    (tmp_path / "seven.toml").write_text(SEVEN_CHORDS, encoding="utf-8")
    source = find_data("lessons", "one_voice_moves")
    lesson = load_lesson(source, tmp_path / "seven.toml")
    lesson = replace(lesson, played=lesson.played[:1])
    (page,) = (text for text in texts_of(gather_handout(lesson).pdf()) if "The shapes, in" in text)
    assert "Seven shapes" in page and "The change that matters" in page
    # A hand without a barre takes this B7 (common practice, no source).
    assert "Two bars first" in page and "4-3-2-0, from bar 23" in page
    # What a mark says is told where a finger does that.
    said = re.search(r"[Aa] dotted ring is where a finger was[^.]*\.", page)
    assert said and ("open mark" in said[0], "a tail" in said[0]) == (
        bool(re.search(r"stays? *\d", page)),
        bool(re.search(r"slides? *\d", page)),
    )


@pytest.mark.parametrize("left", [False, True])
def test_a_number_between_two_boxes_set_close_keeps_off_the_strings_of_the_other(
    left: bool, arranged: Arranged
) -> None:
    """In large print it reaches 7.1 mm from its own strings, by the ruler; a line is 0.3 wide."""
    way = arranged("F6=xx3535 | D7=xx4535 | Gm6=xx2333 | C7=xx5556", instrument="guitar")
    figures = Figures(large=True, left_handed=left)
    shapes = level_shapes(way, Told(), figures)
    assert shapes is not None and shapes["numbered"]
    table = [figures.table()[box["boxes"]["plain"]] for box in shapes["boxes"]]
    strings = max(one["wide"] - 2 * one["left"] for one in table)
    widest = max(one["wide"] for one in table) - 2 * shapes["trim"]
    assert shapes["close"] > 1
    assert (ROW_MM - widest) / (shapes["close"] - 1) - strings >= 7.1 + 0.3


def test_what_is_played_along_with_is_named() -> None:
    lesson = load_lesson(find_data("lessons", "stiff_dominant"))
    first, second, *_ = (said_along(lesson.front, played) for played in lesson.played)
    assert first == "Play along with this level's file or with the lesson's page."
    assert second.startswith(first) and second.endswith(
        " There you practise the hard change, twice at 60, 80 and 100 per cent of the tempo; "
        "then bars 9 to 12, call and answer."
    )
    assert said_along(replace(lesson.front, outputs=("handout",)), lesson.played[1]) == ""


def test_numerals_go_where_there_is_no_room_for_them(shipped: Lesson) -> None:
    """Every form has them, and behind the tightest stands that form once more without."""
    asked = replace(shipped, front=replace(shipped.front, numerals=True), played=shipped.played[:1])
    (page,), (plain,) = (
        level_pages(lesson, Figures())
        for lesson in (asked, replace(asked, front=replace(asked.front, numerals=False)))
    )
    has = [any(row["numerals"] for row in chart["rows"]) for chart in page["charts"]]
    assert has == [True] * len(plain["charts"]) + [False]
    assert not any(row["numerals"] for chart in plain["charts"] for row in chart["rows"])
    last, before = page["charts"][-1], page["charts"][-2]
    bars = [[len(row["bars"]) for row in chart["rows"]] for chart in (last, before)]
    assert bars[0] == bars[1] and last["name"] == before["name"]
