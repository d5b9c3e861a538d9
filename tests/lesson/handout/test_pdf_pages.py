"""How many pages a level has, and which of them lie open beside each other."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from sheets import level_starts, placed, read, shipped_sheet, text_of

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.writing import write_draft
from harmonykit.lesson.handout.pdf import Variant, gather_handout
from harmonykit.lesson.plan.model import Lesson
from harmonykit.paths import find_data

LAMP, WALTZ, FERRY = "lamp_for_the_late_boat", "slack_water_waltz", "lantern_ferry"
BEHIND = re.compile("Your turn|Why each chord was added|as fret numbers|Answers")


def large_pages(folder: Path, tune: str, instrument: str, paper: str) -> list[str]:
    path = write_draft(folder / "draft.md", tune, tune, instrument)
    lesson = load_lesson(path)
    return printed(replace(lesson, front=replace(lesson.front, paper=paper)))


def printed(lesson: Lesson) -> list[str]:
    reader = read(gather_handout(lesson, Variant(large=True)).pdf())
    return [text_of(page) for page in reader.pages]


def counts(texts: list[str]) -> list[int]:
    """Return how many pages the idea has, and each level."""
    starts = level_starts(texts)
    last = starts[-1]
    behind = (n for n, text in enumerate(texts) if n > last and BEHIND.search(text))
    return [b - a for a, b in pairwise([0, *starts, next(behind, len(texts))])]


@pytest.mark.parametrize(
    ("tune", "instrument", "paper"),
    [
        (LAMP, "ukulele", "a4"),
        *(
            pytest.param(tune, instrument, paper, marks=pytest.mark.long)
            for tune, instrument in [
                (LAMP, "ukulele"), (LAMP, "baritone ukulele"), (WALTZ, "guitar"), (FERRY, "guitar"),
                ("tugboat_muster", "ukulele"),
            ]
            for paper in ("a4", "letter")
            if (instrument, paper) != ("ukulele", "a4") or tune != LAMP
        ),
    ],
)  # fmt: skip
def test_a_level_of_large_print_has_twice_two_pages_at_most(
    tmp_path: Path, tune: str, instrument: str, paper: str
) -> None:
    """So has the idea.  A chart of two pages lies open: nobody turns one of them in mid-tune."""
    texts = large_pages(tmp_path, tune, instrument, paper)
    found = counts(texts)
    assert len(found) == 6
    assert max(found) <= 4, found
    opened = 0
    for number in range(1, 6):
        (chart,) = (n for n, t in enumerate(texts) if re.match(rf"[^,]+ Level {number} ·", t[:60]))
        if goes_on_once(texts, chart):
            assert (chart + 1) % 2 == 0, (number, chart + 1)
            opened += 1
    assert opened or tune == WALTZ


def goes_on_once(texts: list[str], chart: int) -> bool:
    """Whether a chart goes on over one page and no further: rows of bars begin with figures."""
    rows = [bool(re.search(r"continued (\w.? )?\d+( · \d+)* \S", text)) for text in texts]
    return rows[chart + 1] and not rows[chart + 2]


@pytest.mark.long
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    "name",
    [
        "four_dominants", "one_voice_moves", "scale_of_chords", "stiff_dominant",
        "three_fall_one_rises", "two_strings_are_enough",
    ],
)  # fmt: skip
def test_shipped_levels_of_large_print_have_twice_two_pages_at_most(name: str, paper: str) -> None:
    lesson = load_lesson(find_data("lessons", name))
    found = counts(printed(replace(lesson, front=replace(lesson.front, paper=paper))))
    assert len(found) == 1 + len(lesson.played)
    assert max(found) <= 4, found


def test_a_heading_with_nothing_beside_it_has_the_whole_line() -> None:
    runs = placed(shipped_sheet("two_strings_are_enough").pages[0])
    assert any(text == "How much can you leave out?" for text, *_ in runs)


def test_large_print_tells_of_marks_that_its_changes_have() -> None:
    """Once, of the change that each level shows."""
    text = " ".join(text_of(page) for page in shipped_sheet("stiff_dominant", large=True).pages)
    (said,) = re.findall(r"[Aa] dotted ring is where a finger was[^.]*\.", text)
    assert ("open mark" in said, "a tail is a slide" in said) == (
        bool(re.search(r"\bstays? \d", text)),
        bool(re.search(r"\bslides? \d", text)),
    )
    # A hand without a barre leaves the highest string of 1-2-1-1, its root B flat, to the others.
    assert "B♭7 as 1-2-1-x (no root)" in text


def test_an_easier_grip_that_is_drawn_is_not_said_again_beside_the_change() -> None:
    lesson = load_lesson(find_data("lessons", "three_fall_one_rises"))
    asked = replace(lesson, played=lesson.played[:2])
    reader = read(gather_handout(asked, Variant(tablet=True)).pdf())
    drawn = [page for page in map(text_of, reader.pages) if "An easier grip" in page]
    assert [page.count("2-3-2-0") for page in drawn] == [0, 1]
    assert "The change that matters" in drawn[1] and "F♯°7 as" not in drawn[1]


def test_no_short_word_stands_alone_under_a_grip_that_is_known() -> None:
    lesson = load_lesson(find_data("lessons", "stiff_dominant"))
    asked = replace(lesson, played=lesson.played[:3])
    reader = read(gather_handout(asked, Variant.named("tablet landscape")).pdf())
    (page,) = (page for page in reader.pages if "From grips you know" in text_of(page))
    lines = [line.strip() for line in page.extract_text().splitlines()]
    assert "fingers move" in lines and "move" not in lines
