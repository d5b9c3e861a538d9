"""Where things stand on the paper itself: heads clear of the edge, lines clear of each other."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from sheets import placed, read, shipped_sheet, text_of

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.writing import write_draft
from harmonykit.lesson.handout.chart import Chart
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.pdf import Variant, gather_handout, handout_data
from harmonykit.lesson.handout.typeset import draw_pages
from harmonykit.lesson.plan.model import Lesson
from harmonykit.paths import find_data

POINTS_PER_MM = 72 / 25.4
# Across, down, high, wide, in mm.
Line = tuple[float, float, float, float]


@pytest.fixture(scope="module")
def stiff() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


@pytest.fixture(scope="module")
def waltz(tmp_path_factory: pytest.TempPathFactory) -> Lesson:
    draft, name = tmp_path_factory.mktemp("waltz") / "draft.md", "slack_water_waltz"
    return load_lesson(write_draft(draft, name, name, "guitar"))


@pytest.fixture(scope="module")
def waltz_pages(waltz: Lesson) -> list[list[Any]]:
    return [list(placed(page)) for page in read(gather_handout(waltz, Variant()).pdf()).pages]


@pytest.mark.parametrize("paper", [pytest.param("a4", marks=pytest.mark.long), "letter"])
def test_running_heads_of_large_print_keep_clear_of_the_edge(stiff: Lesson, paper: str) -> None:
    """Office printers leave some 6 mm white (common practice, no source): nothing stands there."""
    lesson = replace(stiff, front=replace(stiff.front, paper=paper))
    heads = 0
    for page in read(gather_handout(lesson, Variant(large=True)).pdf()).pages:
        for text, _, y, size, _, _ in placed(page):
            top = (float(page.mediabox.height) - y - 0.75 * size) / POINTS_PER_MM
            assert top >= 6, text
            heads += "continued" in text
    assert heads > 2


MOVED = re.compile(r"translate\((\S+?)(?: (\S+))?\)|matrix\(1 0 0 1 (\S+) (\S+)\)")
UPRIGHT = re.compile(r"M 0 0l 0 ([\d.]+)")
HEAD = re.compile(r"M 0 0m ([\d.]+) [\d.]+h ([\d.]+)l -([\d.]+) .*Z ")


def strokes(svg: str) -> Iterator[tuple[str, float, float, ElementTree.Element]]:
    """Yield the paths of a page: what is drawn, and where, by the transforms above them, in mm."""

    def walk(
        one: ElementTree.Element, x: float, y: float
    ) -> Iterator[tuple[str, float, float, ElementTree.Element]]:
        if moved := MOVED.fullmatch(one.get("transform", "")):
            across, down = moved[1] or moved[3], moved[2] or moved[4] or 0
            x, y = x + float(across), y + float(down)
        if "d" in one.attrib:
            yield one.get("d", ""), x / POINTS_PER_MM, y / POINTS_PER_MM, one
        for part in one:
            yield from walk(part, x, y)

    return walk(ElementTree.fromstring(svg), 0.0, 0.0)


def test_lines_stand_clear_of_each_other_and_in_the_middle_of_their_heads(stiff: Lesson) -> None:
    """A thick line is half a millimetre from the thin one, on either side of a repeat.

    Drawn by hand: thin .3, thick .95; and the shaft of a stroke runs into the middle of its head.
    """
    found: list[Line] = []
    tips, shafts = [], []
    for page in draw_pages("handout", handout_data(stiff, Variant()))[1:5]:
        for drawn, x, y, one in strokes(page):
            wide = float(one.get("stroke-width", 0)) / POINTS_PER_MM
            if line := UPRIGHT.fullmatch(drawn):
                high = float(line[1]) / POINTS_PER_MM
                found.append((x, y, high, wide))
                if abs(high - 6.6) < 0.01:
                    shafts.append(x)
            elif head := HEAD.fullmatch(drawn):
                tips.append(x + (float(head[1]) + float(head[3])) / POINTS_PER_MM)
                assert float(head[3]) == pytest.approx(float(head[2]) / 2)
    thin = [one for one in found if 0.19 < one[3] < 0.31]
    thick = [one for one in found if one[3] == pytest.approx(0.95, abs=0.01)]
    assert len(thick) >= 5
    for x, y, high, wide in thick:
        beside = [abs(x - at) - own / 2 for at, top, _, own in thin if abs(top - y) < 0.1]
        # Beside chords, and through the four lines of the melody.
        assert any(high == pytest.approx(one, abs=0.01) for one in (12, 3 * 2.9))
        assert min(beside) - wide / 2 == pytest.approx(0.5, abs=0.05)
    assert len(tips) == len(shafts) >= 16
    assert sorted(tips) == pytest.approx(sorted(shafts), abs=0.01)


@pytest.mark.parametrize(
    ("tune", "instrument", "variant"),
    [
        ("lamp_for_the_late_boat", "ukulele", Variant(tablet=True)),
        pytest.param("lamp_for_the_late_boat", "ukulele", Variant(tablet=True, landscape=True),
                     marks=pytest.mark.long),
    ],
)  # fmt: skip
def test_rights_share_the_page_before_them(
    tmp_path: Path, tune: str, instrument: str, variant: Variant
) -> None:
    """A section of two lines never takes a screen of its own where the one before has room."""
    lesson = load_lesson(write_draft(tmp_path / "draft.md", tune, tune, instrument))
    pages = [text_of(page) for page in read(gather_handout(lesson, variant).pdf()).pages]
    (last,) = (page for page in pages if "Good to know" in page)
    assert "Why each chord was added" in last or "resolves to" in last


@pytest.mark.long
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_many_new_shapes_of_six_strings_keep_to_their_page(tmp_path: Path, paper: str) -> None:
    """Sixteen new shapes, cautions, easier grips, what is watched for: an opening, none blank."""
    name = "slack_water_waltz"
    lesson = load_lesson(write_draft(tmp_path / "draft.md", name, name, "guitar"))
    lesson = replace(lesson, front=replace(lesson.front, paper=paper))
    pages = [text_of(page) for page in read(gather_handout(lesson, Variant()).pdf()).pages]
    starts = [n for n, page in enumerate(pages) if re.search(r"^Slack Water Waltz Level \d", page)]
    assert starts == [2 * n + 1 for n in range(len(lesson.played))]


def test_rights_share_a_large_page_with_the_reasons() -> None:
    """Where a level's last page holds the reasons alone, both go to the next one."""
    lesson = load_lesson(find_data("lessons", "three_fall_one_rises"))
    lesson = replace(lesson, front=replace(lesson.front, paper="letter"))
    found = read(gather_handout(lesson, Variant(large=True)).pdf())
    pages = [text_of(page) for page in found.pages]
    (last,) = (page for page in pages if "Good to know" in page)
    assert "Why each chord was added" in last
    # A reason reads on from its chord and its bars; a row of notes stands in one line.
    assert "(bars 2, 6 and 10) passes up to D7: the roots rise" in last
    lines = [text for page in found.pages for text in page.extract_text().splitlines()]
    assert any("C – C♯ – D" in line for line in lines)


def test_what_a_finger_does_and_what_a_page_is_stand_in_one_line(
    waltz_pages: list[list[Any]],
) -> None:
    """A heading that is a word too long is set smaller, not on two lines: 11 points at least.

    Its rule then runs on from that of the chart beside it; and no line ends in "4" where the next
    begins with "to fret 3".
    """
    counted, last = [], ""
    for page in waltz_pages:
        for text, x, y, size, _, _ in page:
            if "with other fingers" in text:
                counted.append((round(x), round(y), size))
            assert not (last[-1:].isdigit() and re.match(r"(to|at|from) (fret|\d)", text))
            last = text
    assert counted and len({spot[:2] for spot in counted}) == 1
    assert all(11 * 0.99 <= size < 13 for *_, size in counted)


def test_rows_of_shapes_stand_apart(waltz_pages: list[list[Any]]) -> None:
    """What stands under a shape is nearer to it than the name of the shape below.

    Under it two lines of 4.2 mm; from the lower one to a name of 13 points, at least two of them.
    """
    checked = 0
    for page in waltz_pages:
        under = [(x, y) for text, x, y, *_ in page if text.startswith("from bar")]
        names = [(x, y) for text, x, y, size, *_ in page if 12.5 < size < 18 and len(text) < 8]
        for x, y in under:
            below = [y - at for left, at in names if at < y and abs(left - x) < 60]
            if below and min(below) < 60 * POINTS_PER_MM / 2:
                checked += 1
                assert min(below) > 2 * 4.2 * POINTS_PER_MM, page[0]
    assert checked > 6


def test_a_diagram_never_begins_over_the_bar_before(waltz: Lesson) -> None:
    """Six strings are wider than a beat of three: pushed back from the row's end, a box may not
    cross its own bar line."""
    boxes = late = 0
    for level in waltz.played:
        for row in Chart(level.arrangement, Figures()).data()["rows"]:
            for box in row["boxes"]:
                boxes += 1
                assert box["x"] >= max(bar["x"] for bar in row["bars"] if bar["x"] <= box["at"])
            # The last chord before a double line: its shape is never left out.
            for x in (n["x"] for bar in row["bars"] for n in bar["names"] if n["text"] == "G♯°7"):
                late += 1
                shown = [box["at"] for box in row["boxes"]] + [one["x"] for one in row["frets"]]
                assert min(abs(x - at) for at in shown) <= 5
    assert boxes > 20 and late


def test_what_goes_on_over_a_page_is_named_though_more_begins_below(waltz: Lesson) -> None:
    """Four ways of six strings in large print, a class and a hand told: the last two go to the next
    page, over the section behind them; where the hand alone is told all stand on the first."""
    lesson = replace(waltz, played=waltz.played[:1])
    told = replace(lesson, front=replace(lesson.front, group="Saltmarsh Quay"))
    variant = Variant(large=True, left_handed=True)
    first = text_of(read(gather_handout(lesson, variant).pdf()).pages[0])
    assert first.count("lower ") == 4
    (_, second, *_) = map(text_of, read(gather_handout(told, variant).pdf()).pages)
    assert second.startswith("Lower one string by a fret, continued lower B")
    assert "The scale of chords on F F6 and E°7 alternate" in second


def test_no_short_word_stands_alone_in_the_last_line() -> None:
    """In large print lines are short: "the chord does not", and under it "change."."""
    lines = [
        line.strip()
        for page in shipped_sheet("one_voice_moves", large=True).pages
        for line in page.extract_text().splitlines()
    ]
    assert "not change." in lines
    assert [line for line in lines if re.fullmatch(r"[A-Za-z♭♯]{1,9}[.?!]", line)] == []


def test_boxes_beside_each_other_have_their_nuts_in_one_line() -> None:
    """The shape and its four ways: twenty names of notes under twenty strings, all equally high."""
    (page,) = (
        page
        for page in shipped_sheet("stiff_dominant", large=True).pages
        if text_of(page).startswith("Answers")
    )
    names = [run for run in placed(page) if run[3] == pytest.approx(16, abs=0.1)]
    rows = Counter(round(y, 1) for text, _, y, *_ in names if re.fullmatch("[A-G].?", text))
    assert max(rows.values()) == 5 * 4


def test_the_number_of_a_fret_stands_clear_of_the_box_before_it(tmp_path: Path) -> None:
    """A mark of a shape to play is 5.6 mm wide, a number 1.9: nearer than 3.8 mm they would touch.

    Six strings, with a finger on the last one beside a box higher on the neck.
    """
    name = "slack_water_waltz"
    lesson = load_lesson(write_draft(tmp_path / "draft.md", name, name, "guitar"))
    lesson = replace(lesson, played=lesson.played[::3])
    numbers = 0
    for page in read(gather_handout(lesson, Variant(tablet=True, landscape=True)).pdf()).pages:
        if "The shapes, in playing order" not in text_of(page) and "from bar" not in text_of(page):
            continue
        digits = [run for run in placed(page) if re.fullmatch(r"\d", run[0])]
        fingers = [run for run in digits if "SemiBold" in run[4]]
        for _, x, y, _, _, _ in (run for run in digits if "Regular" in run[4]):
            beside = [abs(x - at) for _, at, level, *_ in fingers if abs(y - level) < 6]
            numbers += bool(beside)
            assert all(gap / POINTS_PER_MM > 3.8 for gap in beside)
    assert numbers >= 3


SUNG = (
    "Kites in G\nForm: Verse Chorus Verse Chorus Bridge Verse Chorus Ending\n"
    "Verse\n| G | D7 |\nChorus\n| C | G |\nBridge\n| Em | D7 |\nEnding\n| G | G |\n"
)


@pytest.mark.parametrize("variant", [Variant(), Variant(large=True)])
def test_a_long_form_stands_in_lines_that_are_clear_of_each_other(
    tmp_path: Path, variant: Variant
) -> None:
    (tmp_path / "kites.txt").write_text(SUNG, encoding="utf-8")
    draft = write_draft(tmp_path / "kites.md", str(tmp_path / "kites.txt"), "kites.txt", "ukulele")
    lesson = load_lesson(draft)
    lesson = replace(lesson, played=lesson.played[:1])
    pages = [placed(page) for page in read(gather_handout(lesson, variant).pdf()).pages]
    runs = next(runs for runs in pages if any(text == "play" for text, *_ in runs))
    level = next(y for text, _, y, *_ in runs if text == "play")
    names = ("Verse", "Chorus", "Bridge", "Ending")
    form = [run for run in runs if level - 40 < run[2] <= level + 1 and run[0].startswith(names)]
    assert " ".join(run[0] for run in form).split().count("Verse") == 3
    lines = sorted({round(run[2]) for run in form})
    assert len(lines) == (2 if variant.large else 1)
    assert all(b - a > form[0][3] for a, b in pairwise(lines))
