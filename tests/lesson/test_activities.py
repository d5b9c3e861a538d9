"""The plan of a class: its minutes, its fixed parts, and what is said only once."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise

import pytest

from harmonykit.lesson.activities import Meeting, meetings, section_minutes
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Chart, Lesson, Picture, Text
from harmonykit.lesson.script import write_script
from harmonykit.paths import find_data
from harmonykit.tune.class_file import ClassFile

FIXED = [
    "Tune up", "Warm up", "Begin with sound", "The changes that will break down", "In pairs",
    "Half and half", "Silence", "One question to close", "Practice at home",
]  # fmt: skip


@pytest.fixture(scope="module", params=["four_dominants", "stiff_dominant", "scale_of_chords"])
def lesson(request: pytest.FixtureRequest) -> Lesson:
    return load_lesson(str(request.param))


def planned(lesson: Lesson, **more: object) -> tuple[Meeting, ...]:
    return meetings(replace(lesson, front=replace(lesson.front, **more)))  # type: ignore[arg-type]


@pytest.mark.parametrize("minutes", [20, 30, 45, 60, 180])
def test_minutes_add_up_to_the_length_of_the_class(lesson: Lesson, minutes: int) -> None:
    for plan in ("side by side", "in a row"):
        for meeting in planned(lesson, minutes=minutes, plan=plan):
            assert meeting.minutes == pytest.approx(minutes)
            assert all(one.minutes > 0 for one in meeting.activities)


def test_every_meeting_has_the_fixed_parts_in_order(lesson: Lesson) -> None:
    for plan in ("side by side", "in a row"):
        for meeting in planned(lesson, plan=plan):
            titles = [one.title for one in meeting.activities if one.section is None]
            assert titles == [title for title in FIXED if title in titles]
            assert {*FIXED} - {*titles} <= {"One question to close", "In pairs"}


def test_levels_in_a_row_are_a_class_each_and_every_section_comes_once(lesson: Lesson) -> None:
    row = planned(lesson, plan="in a row")
    assert [meeting.title for meeting in row] == [played.level.name for played in lesson.played]
    (beside,) = planned(lesson)
    told = [one.section for meeting in row for one in meeting.activities if one.section is not None]
    assert told == [one.section for one in beside.activities if one.section is not None]


def test_ten_minutes_less_leave_out_ten_minutes_and_keep_the_first_level(lesson: Lesson) -> None:
    (meeting,) = planned(lesson)
    left = [meeting.activities[n] for n in meeting.spared]
    assert sum(one.minutes for one in left) >= 10
    assert sum(one.minutes for one in left[1:]) < 10 or len(left) == 1 or left[0].minutes < 10
    first = next(one for one in meeting.activities if one.section is not None and one.sound)
    assert first not in left


def test_of_three_levels_the_last_alone_is_for_another_day() -> None:
    """Level two is what the lesson is about; warming up and half a class are not (by hand)."""
    (meeting,) = planned(load_lesson(find_data("lessons", "one_voice_moves")))
    left = {meeting.activities[n].title for n in meeting.spared}
    assert left == {"Leading on", "Half and half", "Warm up"}


def test_a_level_that_takes_longer_to_play_gets_more_of_the_class(lesson: Lesson) -> None:
    first, *others = lesson.played
    slow = replace(first.level, tempo=first.level.tempo / 3)
    longer = replace(lesson, played=(replace(first, level=slow), *others))
    spent = [
        next(one.minutes for one in meeting.activities if one.section is not None and one.sound)
        for each in (lesson, longer)
        for meeting in planned(each)
    ]
    assert spent[0] < spent[1]


def test_the_ear_comes_before_the_fingers_and_nothing_heard_is_said_twice(lesson: Lesson) -> None:
    (meeting,) = planned(lesson)
    heard = [
        line.partition(". " if line.startswith("Listen") else ": ")[2]
        for one in meeting.activities
        for line in (*one.lines, *one.listen)
        if line.startswith(("What the ear hears", "Listen first"))
    ]
    said = [" ".join(line.split()) for line in heard]
    assert len(said) == len(set(said)) > 1
    (sounded,) = [one for one in meeting.activities if one.title == "Begin with sound"]
    assert any(line.startswith("What the ear hears: ") for line in sounded.lines)
    titles = [one.title for one in meeting.activities]
    charts = [
        n for n, one in enumerate(meeting.activities) if one.section is not None and one.sound
    ]
    assert titles.index("Begin with sound") < min(charts)


def test_new_grips_stand_beside_those_that_the_class_knows(lesson: Lesson) -> None:
    """Counted here anew: shapes of the first level, movable ones at any fret as one."""
    front = lesson.front
    shapes, name = lesson.played[0].arrangement.shapes, lesson.played[0].shown[0].printed
    known = ClassFile.of("Ours", front.instrument, f"{name} {shapes[0]}")
    script = write_script(replace(lesson, front=replace(front, knows=known)))
    forms = set()
    for shape in shapes:
        frets = [fret for fret in shape.frets if fret is not None]
        low = min(frets) - 1 if min(frets) else 0
        forms.add(tuple(None if fret is None else fret - low for fret in shape.frets))
    found = re.search(r"(\w+) grips? (?:is|are) new to Ours:\n\n((?:- .*\n)+)", script)
    assert found is not None
    assert len(found[2].splitlines()) == len(forms) - 1
    # A grip for which a finger is newly laid flat has no kin: three strings at one fret.
    alone = [line.split()[2].split("-") for line in found[2].splitlines() if " your " not in line]
    assert len(alone) < len(forms) - 1
    assert all(max(map(frets.count, {*frets} - {"0"})) >= 3 for frets in alone)


def test_a_question_in_pairs_is_about_two_chords_and_as_few_strings_as_any(lesson: Lesson) -> None:
    (meeting,) = planned(lesson)
    (asked,) = [one for one in meeting.activities if one.title == "In pairs"]
    question, answer = asked.lines
    first, shape, second = re.findall(
        r"One plays (\S+) ([0-9x-]+), .* finds (\S+) by ear", question
    )[0]
    told = re.findall(r"; ([0-9x-]+)\.$", answer)[0]
    pairs = zip(shape.split("-"), told.split("-"), strict=True)
    moved = sum(a != b for a, b in pairs)
    assert first != second and moved == answer.count(" from ")
    for one in lesson.played:
        steps = [step for step in one.arrangement.steps if step.chord and step.voicing]
        for a, b in pairwise(steps):
            if a.chord != b.chord:
                here, there = a.voicing.frets, b.voicing.frets
                assert moved <= (sum(x != y for x, y in zip(here, there, strict=True)) or moved)


# What the fixed parts want of 45 minutes (common practice, no source).
WANTED = dict(zip(FIXED, (3, 3, 4, 6, 3, 5, 3, 2, 1), strict=True))


@pytest.mark.parametrize("minutes", [90, 180])
def test_minutes_are_shared_out_by_what_is_told_shown_and_played(
    lesson: Lesson, minutes: int
) -> None:
    """A section is read aloud at 150 words a minute and talked about half as long again.

    Half a minute is for its start, one for each picture, two for showing a chart, and each chart is
    played twice.  Nobody gets less than the whole part of a share, nor a minute more.
    """
    (meeting,) = planned(lesson, minutes=minutes)
    wanted = []
    for one in meeting.activities:
        if one.section is None:
            wanted.append(float(WANTED[one.title]))
            continue
        blocks = lesson.sections[one.section].blocks
        words = sum(len(re.findall(r"\w+", b.markdown)) for b in blocks if isinstance(b, Text))
        pictures = sum(isinstance(block, Picture) for block in blocks)
        played = [
            lesson.played[b.level].performance.seconds for b in blocks if isinstance(b, Chart)
        ]
        wanted.append(1.5 * words / 150 + 0.5 + pictures + 2 * len(played) + 2 * sum(played) / 60)
        assert section_minutes(lesson, lesson.sections[one.section]) == pytest.approx(
            words / 150 + sum(played) / 60
        )
    shares = [max(1.0, each / sum(wanted) * minutes) for each in wanted]
    for share, one in zip(shares, meeting.activities, strict=True):
        assert math.floor(share) <= one.minutes <= math.ceil(share), one.title


def test_a_class_of_more_parts_than_minutes_counts_by_ten_seconds(lesson: Lesson) -> None:
    """Up to ten parts for thirteen minutes have whole ones: twenty minutes are for fifteen."""
    for minutes in (20, 30):
        (meeting,) = planned(lesson, minutes=minutes)
        whole = all(one.minutes == round(one.minutes) for one in meeting.activities)
        assert all(6 * one.minutes == round(6 * one.minutes) for one in meeting.activities)
        assert whole == (len(meeting.activities) * 1.3 <= minutes)
