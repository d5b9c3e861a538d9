"""The script of a lesson: minutes, bars, names and notes, worked out by hand; and its cues."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Sheet
from harmonykit.lesson.activities import meetings, section_minutes
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.cues import cues_of, gather_cues
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.levels import level_pages
from harmonykit.lesson.plan.model import Chart, Fact, Lesson, Picture, Section, Table, Text
from harmonykit.lesson.script import course_minutes, length_of, minutes, write_script
from harmonykit.paths import find_data


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Lesson:
    return load_lesson(write_lesson(tmp_path_factory.mktemp("script")))


def of(lesson: Lesson, *blocks: object, title: str = "One", **more: object) -> Lesson:
    section = Section(title, blocks)  # type: ignore[arg-type]
    return replace(lesson, sections=(section,), facts=(), **more)  # type: ignore[arg-type]


def test_minutes_in_words() -> None:
    said = [minutes(value) for value in (0.0, 0.3, 0.95, 1.1, 2.0, 2.5)]
    assert said == [
        "10 seconds", "20 seconds", "1 minute", "1 minute 10 seconds", "2 minutes",
        "2 minutes 30 seconds",
    ]  # fmt: skip


def test_a_section_lasts_its_words_and_its_charts(small: Lesson) -> None:
    """150 words are a minute; a chart lasts as long as its performance."""
    text = Text("word " * 300)
    seconds = small.played[0].performance.seconds
    one = of(small, text)
    assert section_minutes(one, one.sections[0]) == pytest.approx(2.0)
    both = of(small, text, Chart(0), Table(("many", "words"), ()))
    assert section_minutes(both, both.sections[0]) == pytest.approx(2.0 + seconds / 60)


def test_a_lesson_once_through(small: Lesson) -> None:
    assert course_minutes(of(small, Text("word"))) == "about 1 minute"
    assert course_minutes(of(small, Text("word " * 225))) == "about 2 minutes"
    two = replace(small, sections=(Section("", (Text("word " * 150),)),) * 3)
    assert course_minutes(two) == "about 3 minutes"


def test_the_head_says_what_the_lesson_is(small: Lesson) -> None:
    """Two sentences, the one proved; sixteen quarters in four bars."""
    told = replace(of(small, Text("C6 is Am7. Play it.")), facts=(Fact("C6 is Am7.", "both"),))
    lines = write_script(told).split("\n\n")
    assert lines[:3] == [
        "# A small lesson",
        "Quay · tuned g C E A · 45 minutes",
        "The tune: Four Bars of Fog, G minor, 4/4, 4 bars.",
    ]
    assert lines[4].startswith("Of two sentences one is proved; each has a †.")
    assert lines[5] == "## The plan" and "C6 is Am7. † Play it." in lines
    front = replace(told.front, subtitle="For a class", group="", sheet="7", minutes=30)
    lines = write_script(replace(told, front=front)).split("\n\n")
    assert lines[1:3] == ["For a class", "Lesson 7 · tuned g C E A · 30 minutes"]
    doubtful = replace(told.front.tune, doubts=("Bar 3 is faint.",))
    noted = replace(told, front=replace(told.front, tune=doubtful))
    assert "\n\nNote on the tune: Bar 3 is faint.\n\n" in write_script(noted)


def test_statements_that_words_turn_are_counted(small: Lesson) -> None:
    facts = (Fact("C6 is Am7.", "both"),)
    one = replace(of(small, Text("So C6 is Am7.")), facts=facts)
    two = replace(of(small, Text("So C6 is Am7. But C6 is Am7.")), facts=facts)
    none = replace(of(small, Text("C6 is Am7.")), facts=facts)
    assert "One of these contains a statement whose meaning" in write_script(one)
    assert "Two of these contain a statement whose meaning" in write_script(two)
    assert "a statement whose meaning" not in write_script(none)


def test_what_stands_under_a_heading_and_what_before_the_first(small: Lesson) -> None:
    drawing = Drawing(Sheet(10.0, 10.0, (), alt="a clock"))
    shown = Picture((drawing, drawing), ("first", ""), "clock")
    table = Table(("Note", "a|b"), (("C", "1"),), "Moved")
    script = write_script(of(small, shown, table))
    assert (
        "**Cue 1**\n\n![a clock](figures/clock-1.svg)  \nfirst\n\n![a clock](figures/clock-2.svg)"
        "\n\nMoved:\n\n| Note | a\\|b |\n| --- | --- |\n| C | 1 |"
    ) in script
    plain = write_script(of(small, Text("Listen."), replace(table, caption=""), title=""))
    assert "Listen.\n\n| Note | a\\|b |" in plain and "To begin with (" in plain


def test_tables_that_a_class_is_not_told_stand_at_the_end(small: Lesson) -> None:
    numbers = Table(("Level", "Added"), (("One", "3"),))
    why = Table(("Bars", "Chord", "Shape", "Why"), (("1", "C", "0003", "it rests"),))
    sections = (Section("Numbers", (numbers,)), Section("The tune", (Text("Play."), why)))
    script = write_script(replace(small, sections=sections, facts=()))
    first, _, end = script.partition("## Why each chord was added\n\n### The tune\n\n")
    assert "it rests" not in first and "it rests" in end
    assert ". Numbers (" not in script and "## Numbers\n\n| Level | Added |" in end


def test_a_chart_in_rows_of_four_bars(small: Lesson, arranged: Callable[..., Arrangement]) -> None:
    """Five bars: two chords share the second, an added one is bold, its beat stands in brackets."""
    plain = arranged("C6=0000 | C6=0000 F6:5/2=2213 | NC | G7=0212 | C6=0000")
    steps = list(plain.steps)
    steps[2] = replace(steps[2], move="leading-tone diminished", written=steps[1].chord)
    level = replace(small.played[0].level, name="Slow", tempo=72.5, watch="Listen.")
    played = replace(
        small.played[0], level=level, arrangement=replace(plain, steps=tuple(steps), notes=("N.",))
    )
    script = write_script(of(small, Chart(0), played=(played,)))
    assert (
        "*Slow* at 72.5 beats a minute. Listen.\n\n"
        "Strum: down, down, down, down. Say: one, two, three, four.\n\n"
        "| bar | | | | |\n| --- | --- | --- | --- | --- |\n"
        "| 1 | C6 0-0-0-0 | C6 0-0-0-0 ; **F6 2-2-1-3** (the and of 3) | N.C. | G7 0-2-1-2 |\n"
        "| 5 | C6 0-0-0-0 |  |  |  |\n\nN.\n"
    ) in script
    quiet = replace(played, level=replace(level, watch=""))
    assert "a minute.\n\nStrum: down" in write_script(of(small, Chart(0), played=(quiet,)))


# By hand: where a chord of a shared bar begins, as players count it.
@pytest.mark.parametrize(
    ("bar", "meter", "said"),
    [
        ("C6=0000 F6:2=2213", (4, 4), "C6 0-0-0-0 ; F6 2-2-1-3 (3)"),
        ("C6=0000 F6:1/2=2213", (4, 4), "C6 0-0-0-0 ; F6 2-2-1-3 (the and of 1)"),
        # Dotted beats: the second of two begins after three eighths.
        ("C6=0000 F6:3/2=2213", (6, 8), "C6 0-0-0-0 ; F6 2-2-1-3 (2)"),
        ("C6=0000 F6:2=2213", (6, 8), "C6 0-0-0-0 ; F6 2-2-1-3 (1/3 into beat 2)"),
    ],
)
def test_a_chord_within_a_bar_has_its_beat(
    small: Lesson,
    arranged: Callable[..., Arrangement],
    bar: str,
    meter: tuple[int, int],
    said: str,
) -> None:
    played = replace(small.played[0], arrangement=arranged(bar, meter))
    assert said in write_script(of(small, Chart(0), played=(played,)))


def test_one_shape_with_several_names_is_said_once(
    small: Lesson, arranged: Callable[..., Arrangement]
) -> None:
    """0-0-0-0 is C6 and Am7; 2-2-1-3 is F6 alone here."""
    level = small.played[0]
    two = replace(level, arrangement=arranged("C6=0000 | Am7=0000 | F6=2213 | C6=0000"))
    script = write_script(of(small, played=(two,)))
    assert "## One shape, several names\n\n- 0-0-0-0 is C6 and Am7.\n" in script
    one = replace(level, arrangement=arranged("C6=0000 | F6=2213"))
    assert "several names" not in write_script(of(small, played=(one,)))


def test_care_and_rights_stand_last(small: Lesson, arranged: Callable[..., Arrangement]) -> None:
    easy = replace(small.played[0], arrangement=arranged("C6=0000"))
    script = write_script(of(small, played=(easy,)))
    assert "## Take care" not in script
    assert script.rindex("## Rights") > script.rindex(". One (")
    own = replace(small.front, rights="Ask the Quay Ensemble.")
    said = write_script(replace(of(small, played=(easy,)), front=own))
    assert "## Rights\n\nAsk the Quay Ensemble.\n\nChanges to a song" in said


@pytest.fixture(scope="module")
def lesson() -> Lesson:
    return load_lesson(Path(find_data("lessons", "stiff_dominant")))


def test_every_figure_and_level_has_a_cue(lesson: Lesson) -> None:
    blocks = [b for s in lesson.sections for b in s.blocks if isinstance(b, Picture | Chart)]
    cues = list(cues_of(lesson).values())
    assert [cue.number for cue in cues] == list(range(1, len(blocks) + 1))


def test_the_script_calls_them_in_order(lesson: Lesson) -> None:
    called = [int(n) for n in re.findall(r"\*\*Cue (\d+)", write_script(lesson))]
    assert called == [cue.number for cue in cues_of(lesson).values()]


def test_pages_are_sixteen_by_nine_and_say_their_number(lesson: Lesson) -> None:
    data = gather_cues(lesson).pdf()
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    assert len(pages) == len(cues_of(lesson))
    for number, page in enumerate(pages, 1):
        assert float(page.mediabox.width) / float(page.mediabox.height) == pytest.approx(16 / 9)
        assert f"Cue {number}" in page.extract_text()
    assert data == gather_cues(lesson).pdf()


def test_thirds_of_a_beat_are_told_as_fractions(
    small: Lesson, arranged: Callable[..., Arrangement]
) -> None:
    way = arranged("C6=0000 F6:4/3=2213 | C6=0000 F6:5/4=2213")
    script = write_script(of(small, Chart(0), played=(replace(small.played[0], arrangement=way),)))
    assert "C6 0-0-0-0 ; F6 2-2-1-3 (1/3 into beat 2)" in script
    assert "C6 0-0-0-0 ; F6 2-2-1-3 (1/4 into beat 2)" in script


def two_levels(small: Lesson, arranged: Callable[..., Arrangement], **front: object) -> Lesson:
    """Return a lesson of two levels, each with a section of its own."""
    ways = arranged("C6=0000 | F6=2213"), arranged("C6=0000 | F6=5555")
    played = tuple(
        replace(small.played[0], level=replace(small.played[0].level, name=name), arrangement=way)
        for name, way in zip(("One", "Two"), ways, strict=True)
    )
    sections = tuple(Section(f"Section {n}", (Text("word " * 150), Chart(n))) for n in (0, 1))
    levels = tuple(one.level for one in played)
    own = replace(small.front, levels=levels, tune=ways[0].tune, **front)  # type: ignore[arg-type]
    return replace(small, played=played, sections=sections, facts=(), front=own)


def test_levels_are_told_together_where_there_are_several(
    small: Lesson, arranged: Callable[..., Arrangement]
) -> None:
    script = write_script(two_levels(small, arranged))
    assert "## Levels together\n\n- " in script and "## The plan" in script
    alone = write_script(of(small, Text("Play.")))
    assert "## Levels together" not in alone


def test_a_class_for_each_level_has_a_plan_of_its_own(
    small: Lesson, arranged: Callable[..., Arrangement]
) -> None:
    lesson = two_levels(small, arranged, plan="in a row", minutes=40)
    script = write_script(lesson)
    assert length_of(lesson) == "2 classes of 40 minutes" and "2 classes of 40 minutes" in script
    first, second = script.index("## Class 1 of 2: One"), script.index("## Class 2 of 2: Two")
    assert first < script.index(". Section 0 (") < second < script.index(". Section 1 (")
    beside = two_levels(small, arranged, minutes=40)
    assert length_of(beside) == "40 minutes"


@pytest.mark.parametrize("length", [20, 45, 90])
def test_each_part_of_a_plan_begins_where_the_one_before_ends(
    small: Lesson, arranged: Callable[..., Arrangement], length: int
) -> None:
    lesson = two_levels(small, arranged, minutes=length)
    (meeting,) = meetings(lesson)
    plan = write_script(lesson).partition("## The plan\n\n")[2].partition("\n\n## ")[0]
    table, _, less = plan.partition("\n\n")
    rows = [[cell.strip() for cell in row.split("|")[1:-1]] for row in table.splitlines()[2:]]
    *parts, total = rows
    assert [row[0] for row in parts] == [str(n + 1) for n in range(len(meeting.activities))]
    at = 0.0
    for row, one in zip(parts, meeting.activities, strict=True):
        shown, _, seconds = row[1].partition(":")
        assert int(shown) * 60 + int(seconds or 0) == round(at * 60), row
        assert (row[2], row[3], row[5]) == (minutes(one.minutes), one.title, one.sound)
        at += one.minutes
    assert total[2] == f"**{length} minutes**"
    assert sorted(int(n) for row in parts for n in re.findall(r"\d+", row[4])) == [
        cue.number for cue in cues_of(lesson).values()
    ]
    # What is left out with ten minutes less is named, and saves as much as those last together.
    names = re.findall(r"(\d+) \(([^)]*)\)", less)
    assert [int(n) - 1 for n, _ in names] == list(meeting.spared)
    saved = sum(meeting.activities[n].minutes for n in meeting.spared)
    assert all(meeting.activities[int(n) - 1].title == title for n, title in names)
    assert less.endswith(f"this saves {minutes(saved)}.") or not names


@pytest.mark.parametrize("name", ["stiff_dominant", "two_strings_are_enough"])
def test_script_and_wall_loop_the_bars_that_the_sheet_practises_first(name: str) -> None:
    lesson = load_lesson(find_data("lessons", name))
    loops = re.findall(r"^\d\. Loop: (bars? .+?) at \d", write_script(lesson), re.M)
    pages = level_pages(lesson, Figures())
    assert loops == [page["loop"]["about"] for page in pages if page["loop"]]
    text = pypdf.PdfReader(io.BytesIO(gather_cues(lesson).pdf())).pages
    walls = " ".join(page.extract_text() for page in text)
    assert len(loops) == len(lesson.played) and all(f"{each}, " in walls for each in loops)
