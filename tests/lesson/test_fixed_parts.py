"""The fixed parts of a class, word for word, on levels written by hand.

On g C E A: C is 0-0-0-3, F 2-0-1-0, Am 2-0-0-0, G7 0-2-1-2.  Notes and strings are worked out by
hand (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson import fixed_parts
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.fixed_parts import Activity, after, breaking, first_moment, opening
from harmonykit.lesson.plan.model import Lesson, Played
from harmonykit.theory.chord import Chord
from harmonykit.tune.class_file import ClassFile

EIGHT = "C=0003 | F=2010 | G7=0212 | C=0003 | C=0003 | F=2010 | G7=0212 | C=0003"


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]) -> Lesson:
    return load_lesson(write_lesson(tmp_path_factory.mktemp("parts")))


def lesson_on(small: Lesson, *ways: Arrangement) -> tuple[Lesson, list[Played]]:
    """Return the lesson with these levels, named after letters, on the first one's tune."""
    level = small.played[0].level
    played = [
        replace(small.played[0], level=replace(level, name=f"Level {name}"), arrangement=way)
        for name, way in zip("ABC", ways, strict=False)
    ]
    front = replace(small.front, tune=ways[0].tune, levels=tuple(one.level for one in played))
    return replace(small, front=front, played=tuple(played)), played


def with_added(way: Arrangement, place: int, written: str) -> Arrangement:
    steps = list(way.steps)
    steps[place] = replace(steps[place], move="a move", written=Chord.parse(written))
    return replace(way, steps=tuple(steps))


def titles(activities: object) -> dict[str, Activity]:
    return {one.title: one for one in activities}  # type: ignore[attr-defined]


def test_a_class_tunes_up_warms_up_and_begins_with_sound(small: Lesson, arranged: Arranged) -> None:
    lesson, played = lesson_on(small, arranged(EIGHT))
    found = titles(opening(lesson, played))
    assert list(found) == ["Tune up", "Warm up", "Begin with sound"]
    assert found["Tune up"].lines == ("Play each open string and wait for the class: g C E A.",)
    (warm,) = found["Warm up"].lines
    assert warm.startswith(
        "On the first two grips of the tune: C 0-0-0-3 and F 2-0-1-0, two bars each, at "
    )
    head, heard, sung = found["Begin with sound"].lines
    assert head == (
        "Play bars 3 and 4 twice without G7, holding the chord before it, then twice with G7 "
        "before C. Say nothing. Ask: which do you prefer?"
    )
    assert heard.startswith("What the ear hears: B of G7 rises a half step to C, the root of C")
    assert sung == ("The class sings B and C over the two bars before anybody touches a string.")


def test_an_added_chord_is_heard_beside_what_is_written(small: Lesson, arranged: Arranged) -> None:
    way = with_added(arranged("C=0003 | F=2010 | C=0003 Bdim7:2=1212 | C=0003"), 3, "C")
    lesson, played = lesson_on(small, way)
    head, *_ = titles(opening(lesson, played))["Begin with sound"].lines
    assert head == (
        "Play bars 3 and 4 twice with C as written, then twice with B°7 before C. Say nothing. "
        "Ask: which do you prefer?"
    )
    found = first_moment(lesson, played)
    assert found is not None and found[0] is played[0]
    # An added chord of a later level goes before a dominant of the tune.
    lesson, both = lesson_on(small, arranged(EIGHT), way)
    found = first_moment(lesson, both)
    assert found is not None and found[0] is both[1]


@pytest.mark.parametrize(
    ("own", "shape", "begun"),
    [
        ("Bdim7", "1212", "Bdim7"),  # an added chord
        ("G7", "0212", "G7"),  # a chord of the tune, at the level that adds none
        ("F", "2010", "Adim7"),  # what is added in its place
        ("Ddim7", "1212", "Adim7"),  # the notes of B°7, and another root: none of the tune
    ],
)
def test_a_lesson_begins_with_its_own_chord(
    small: Lesson, arranged: Arranged, own: str, shape: str, begun: str
) -> None:
    plain = arranged("C=0003 | F=2010 | G7=0212 | C=0003")
    other = with_added(arranged("C=0003 | Adim7=2323 | Bb=3211 | C=0003"), 1, "F")
    added = with_added(arranged("C=0003 | F=2010 | Bdim7=1212 | C=0003"), 2, "Dm")
    lesson, played = lesson_on(small, plain, other, added)
    held = Voicing.parse(shape, lesson.front.instrument)
    front = replace(lesson.front, shape_chord=Chord.parse(own), shape=held)
    found = first_moment(replace(lesson, front=front), played)
    assert found is not None and found[1].step.chord == Chord.parse(begun)


def test_one_grip_is_no_warm_up_and_no_dominant_no_sound(small: Lesson, arranged: Arranged) -> None:
    lesson, played = lesson_on(small, arranged("C=0003 | C=0003 | C=0003 | C=0003"))
    assert list(titles(opening(lesson, played))) == ["Tune up"]
    assert first_moment(lesson, played) is None
    # C6 and Am7 are one grip.
    lesson, played = lesson_on(small, arranged("C6=0000 | Am7=0000 | F=2010 | C6=0000"))
    (warm,) = titles(opening(lesson, played))["Warm up"].lines
    assert warm.startswith("On the first two grips of the tune: C6 0-0-0-0 and F 2-0-1-0, ")


def test_partners_ask_for_the_smallest_change(small: Lesson, arranged: Arranged) -> None:
    """Of 0003 to 2010 three strings change, of 2010 to 2000 one, of 2000 to 0212 four."""
    lesson, played = lesson_on(small, arranged("C=0003 | F=2010 | Am=2000 | G7=0212"))
    asked, answer = titles(after(lesson, played))["In pairs"].lines
    assert asked == (
        "One plays F 2-0-1-0, the other looks away and finds Am by ear. Which string changes, and "
        "how?"
    )
    assert answer == "Answer: the E string from fret 1 to open; 2-0-0-0."
    lesson, played = lesson_on(small, arranged("C=0003 | F=2010"))
    asked, answer = titles(after(lesson, played))["In pairs"].lines
    assert asked.endswith("Which strings change, and how?")
    assert answer == (
        "Answer: the g string from open to fret 2, the E string from open to fret 1 and the A "
        "string from fret 3 to open; 2-0-1-0."
    )
    lesson, played = lesson_on(small, arranged("F=x010 | Am=2000"))
    _, answer = titles(after(lesson, played))["In pairs"].lines
    assert answer.startswith("Answer: the g string from silent to fret 2")
    # The same chord in another shape is no question, nor is one chord.
    lesson, played = lesson_on(small, arranged("C=0003 | C=5433"))
    assert "In pairs" not in titles(after(lesson, played))


def test_of_changes_as_small_the_one_to_an_added_chord_is_asked(
    small: Lesson, arranged: Arranged
) -> None:
    """A minor to F and F to A minor move one string each; the second A minor was added."""
    way = arranged("Am=2000 | F=2010 | Am=2000 | F=2010")
    lesson, played = lesson_on(small, with_added(way, 2, "F"))
    asked, _ = titles(after(lesson, played))["In pairs"].lines
    assert asked.startswith("One plays F 2-0-1-0, the other looks away and finds Am by ear.")
    lesson, played = lesson_on(small, way)
    asked, _ = titles(after(lesson, played))["In pairs"].lines
    assert asked.startswith("One plays Am 2-0-0-0, the other looks away and finds F by ear.")


@pytest.mark.parametrize(
    ("bars", "said"),
    [
        (8, "All play. In bars 5 to 8 nobody plays and everybody counts; begin again."),
        (
            9,
            "All play. In bars 5 to 8 nobody plays and everybody counts; "
            "come in together in bar 9.",
        ),
        (7, ""),
    ],
)
def test_four_bars_of_silence_where_there_are_eight(
    small: Lesson, arranged: Arranged, bars: int, said: str
) -> None:
    lesson, played = lesson_on(small, arranged(" | ".join(["C=0003", "F=2010"] * 4 + ["C=0003"])))
    text = " | ".join((["C=0003", "F=2010"] * 5)[:bars])
    lesson, played = lesson_on(small, arranged(text))
    lines = titles(after(lesson, played))["Silence"].lines
    last = "Then hands off the strings: listen once, and raise a hand where a chord surprises you."
    assert lines == ((said, last) if said else (last,))


def test_half_and_half(small: Lesson, arranged: Arranged) -> None:
    plain = arranged("C=0003 | F=2010 | G7=0212 | C=0003")
    lesson, played = lesson_on(small, plain)
    assert titles(after(lesson, played))["Half and half"].lines == (
        "Half the class holds the first chord of each bar; the other half plays. Then swap.",
    )
    rich = with_added(arranged("C=0003 | F6=2213 | G7=0212 | C=0003"), 1, "F")
    rich = replace(rich, tune=plain.tune)
    lesson, played = lesson_on(small, plain, rich)
    assert titles(after(lesson, played))["Half and half"].lines == (
        "Half the class plays *Level A*, half *Level B*; then swap.",
        "Both halves sound good together in every bar.",
    )
    # A level that fits goes before one that rubs.
    rubs = with_added(arranged("C=0003 | E7=1202 | G7=0212 | C=0003"), 1, "F")
    rubs = replace(rubs, tune=plain.tune)
    lesson, played = lesson_on(small, plain, rubs, rich)
    first, second = titles(after(lesson, played))["Half and half"].lines
    assert first == "Half the class plays *Level A*, half *Level C*; then swap."
    assert second == "Both halves sound good together in every bar."
    lesson, played = lesson_on(small, plain, rubs)
    first, second = titles(after(lesson, played))["Half and half"].lines
    assert first == "Half the class plays *Level A*, half *Level B*; then swap."
    assert "sound good together" not in second
    lesson, played = lesson_on(small, rich)
    assert len(titles(after(lesson, played))["Half and half"].lines) == 1


def test_changes_that_break_down_come_with_a_rescue(small: Lesson, arranged: Arranged) -> None:
    lesson, played = lesson_on(small, arranged("C=0003 | E=4442 | Am=2000 | E=4442 | C=0003"))
    (part,) = breaking(played)
    *lines, loop = part.lines
    assert len(lines) == 2 and loop.startswith("Each as a loop of two bars at ")
    for line in lines:
        assert line.startswith("**") and ", *Level A*, bar " in line and " Rescue: " in line
        before, _, rest = line[2:].partition(" to ")
        name, digits = before.split(" ")
        after_name, after_digits = rest.partition("**")[0].split(" ")
        shapes = {"C": "0-0-0-3", "E": "4-4-4-2", "Am": "2-0-0-0"}
        assert shapes[name] == digits and shapes[after_name] == after_digits
    lesson, same = lesson_on(small, arranged("C=0003 | C=0003"))
    assert list(breaking(same)) == []
    home = titles(after(lesson, played))["Practice at home"].lines
    assert home[0].startswith("1. ") and home[0].endswith(": ten times, cleanly.")
    assert home[1].startswith("2. *Level A* once through") and home[1].endswith(
        "humming the roots."
    )
    only = titles(after(lesson, same))["Practice at home"].lines
    assert len(only) == 1 and only[0].startswith("1. *Level A* once through")


def test_the_closing_question_is_about_another_chord_than_the_first(
    small: Lesson, arranged: Arranged
) -> None:
    way = arranged("C=0003 | G7=0212 | C=0003 | C7=0001 | F=2010 | G7=0212 | C=0003 | C=0003")
    lesson, played = lesson_on(small, way)
    asked, answer = titles(after(lesson, played))["One question to close"].lines
    assert asked == "In bar 4 of *Level A*: which note of C7 rises to the root of F?"
    assert answer == "Answer: E of C7 rises a half step to F, the root of F: the leading tone."
    lesson, played = lesson_on(small, arranged("C=0003 | G7=0212 | C=0003 | C=0003"))
    assert "One question to close" not in titles(after(lesson, played))


def test_a_level_is_played_along_with_the_slow_file_where_there_is_one(small: Lesson) -> None:
    played = small.played[0]
    front = replace(small.front, outputs=(*small.front.outputs, "sound"))
    name = fixed_parts.sound_of(replace(small, front=front), played)
    takes = front.playalong.takes
    if any(take.slow for take in takes if not take.bass):
        assert "slow" in name
    assert not name or name.startswith(played.stem)
    silent = replace(small.front, outputs=("handout",))
    assert fixed_parts.sound_of(replace(small, front=silent), played) == ""


def test_what_each_fixed_part_wants_of_a_class(small: Lesson, arranged: Arranged) -> None:
    """In minutes of 45 (common practice, no source)."""
    way = arranged("C=0003 | G7=0212 | E7=1202 | Am=2000 | D7=2223 | G7=0212 | C=0003 | C=0003")
    lesson, played = lesson_on(small, way)
    found = [*opening(lesson, played), *breaking(played), *after(lesson, played)]
    assert {one.title: one.minutes for one in found} == {
        "Tune up": 3, "Warm up": 3, "Begin with sound": 4, "The changes that will break down": 6,
        "In pairs": 3, "Half and half": 5, "Silence": 3, "One question to close": 2,
        "Practice at home": 1,
    }  # fmt: skip


def test_a_class_warms_up_on_what_it_knows(small: Lesson, arranged: Arranged) -> None:
    """Of the first level's grips where two are known, else of all that are; else of the tune."""
    way, later = arranged("C=0003 | F=2010 | Bb=3211 | G7=0212"), arranged("Am=2000 | Dm=2210")

    def warm(*grips: str) -> str:
        lesson, played = lesson_on(small, way, later)
        knows = ClassFile.of("Ours", "ukulele", *grips) if grips else None
        lesson = replace(lesson, front=replace(lesson.front, knows=knows))
        return titles(opening(lesson, played))["Warm up"].lines[0].partition(", two bars")[0]

    assert warm() == "On the first two grips of the tune: C 0-0-0-3 and F 2-0-1-0"
    assert warm("Bb 3211", "G7 0212", "F 2010") == (
        "On grips that the class knows: F 2-0-1-0 and B♭ 3-2-1-1"
    )
    assert warm("E 4442", "Am 2000", "C 0003") == (
        "On grips that the class knows: E 4-4-4-2 and Am 2-0-0-0"
    )
    assert warm("E 4442", "Bb 3211", "F 2010") == (
        "On grips that the class knows: F 2-0-1-0 and B♭ 3-2-1-1"
    )
    assert warm("C 0003") == "On the first two grips of the tune: C 0-0-0-3 and F 2-0-1-0"


def test_a_hard_change_is_told_with_its_rescue_or_with_time(
    small: Lesson, arranged: Arranged
) -> None:
    """Two fingers hold 2-0-2-0 for D7; C and A minor are as easy as can be."""
    _, played = lesson_on(small, arranged("C=0003 | D7=2223"))
    (part,) = breaking(played)
    assert part.lines[0].endswith(" Rescue: D7 as 2-0-2-0, no root.")
    # From open strings nothing leaves its place.
    _, played = lesson_on(small, arranged("Am7=0000 | Dm6=2212"))
    (part,) = breaking(played)
    assert ", bar 2: four fingers land together. " in part.lines[0]
    _, played = lesson_on(small, arranged("C=0003 | Am=2000"))
    (part,) = breaking(played)
    assert part.lines[0].endswith(
        " Rescue: one strum on the first beat, and the rest of the bar to move."
    )
    # Of several levels the first one's changes come first, two in all.
    _, both = lesson_on(small, arranged("C=0003 | Am=2000"), arranged("C=0003 | D7=2223 | F=2010"))
    (part,) = breaking(both)
    assert len(part.lines) == 3
    assert [line.partition("**, ")[2].partition(",")[0] for line in part.lines[:2]] == [
        "*Level A*", "*Level B*",
    ]  # fmt: skip
