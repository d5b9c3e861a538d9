"""Whether a top line keeps its contour, phrase by phrase: against every line of four notes.

On g C E A a shape such as 0-0-0-3 has its highest note on the A string: A4 is 69, each fret a
semitone.  A phrase is four bars.  An arch climbs, then falls; a valley falls, then climbs (common
practice, no source).
"""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product
from pathlib import Path
from types import SimpleNamespace

import pytest
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.errors import HarmonyError
from harmonykit.lesson import level_checks
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.level_checks import against, said_of_contour

# Frets of the A string, with the names of what sounds there.
NAMES = {0: "A", 1: "B♭", 2: "B", 3: "C", 5: "D", 7: "E"}
CHORD = {0: "Am", 1: "Bb", 2: "G", 3: "C", 5: "Dm", 7: "Em"}


def level(arranged: Arranged, *frets: int) -> Arrangement:
    """Return one chord a bar, the fret given on the A string over three open ones."""
    return arranged(" | ".join(f"{CHORD[fret]}=000{fret}" for fret in frets))


def shape(line: tuple[int, ...]) -> str:
    """Return the turns of a line: a plus for each run upwards, a minus for each downwards."""
    turns = ""
    for a, b in zip(line, line[1:], strict=False):
        if a != b and not turns.endswith(way := "+" if b > a else "-"):
            turns += way
    return turns


WANTED = {"rise": "+", "fall": "-", "arch": "+-", "valley": "-+"}


def test_a_line_keeps_its_contour_where_it_turns_as_the_contour_does(arranged: Arranged) -> None:
    """Every line of four notes out of three heights: repeated notes are no turn."""
    for line in product((0, 3, 7), repeat=4):
        way = level(arranged, *line)
        for contour, wanted in WANTED.items():
            found = against(way, contour)
            assert (not found) == (shape(line) == wanted), (line, contour, found)
            assert all(0 <= one.bar < 4 and one.what for one in found)


@pytest.mark.parametrize(
    ("contour", "line", "told"),
    [
        ("rise", (0, 3, 2, 5), [(2, "falls from C to B")]),
        ("rise", (0, 0, 0, 0), [(0, "begins a phrase and stays on A throughout")]),
        ("rise", (5, 3, 2, 0), [
            (1, "falls from D to C"), (2, "falls from C to B"), (3, "falls from B to A"),
            (0, "begins a phrase in which it never rises"),
        ]),
        ("fall", (5, 3, 7, 0), [(2, "rises from C to E")]),
        ("arch", (0, 3, 5, 7), [(0, "begins a phrase in which it never falls")]),
        ("arch", (0, 5, 3, 7), [(3, "rises from C to E")]),
        ("arch", (7, 5, 3, 0), [
            (1, "falls from E to D"), (2, "falls from D to C"), (3, "falls from C to A"),
            (0, "begins a phrase in which it never rises"),
        ]),
        ("valley", (7, 3, 1, 0), [(0, "begins a phrase in which it never rises")]),
        ("valley", (7, 3, 5, 0), [(3, "falls from D to A")]),
        ("valley", (7, 0, 1, 5), []),
    ],
)  # fmt: skip
def test_what_a_line_does_against_its_contour_is_told(
    arranged: Arranged, contour: str, line: tuple[int, ...], told: list[tuple[int, str]]
) -> None:
    found = against(level(arranged, *line), contour)
    assert [(one.bar, one.what) for one in found] == told


def test_each_phrase_has_its_own_arch(arranged: Arranged) -> None:
    arch, plain = (0, 3, 5, 0), (0, 3, 5, 7)
    first = level(arranged, *arch, *plain)
    assert [(one.bar, one.what) for one in against(first, "arch")] == [
        (4, "begins a phrase in which it never falls")
    ]
    assert said_of_contour(first, "arch") == "The top line makes an arch in bars 1 to 4."
    second = level(arranged, *plain, *arch)
    assert said_of_contour(second, "arch") == "The top line makes an arch in bars 5 to 8."
    both = level(arranged, *arch, *arch)
    assert said_of_contour(both, "arch") == "The top line makes an arch in bars 1 to 8."
    none = level(arranged, *plain)
    assert said_of_contour(none, "arch") == (
        "The top line never makes an arch: the chords do not allow it."
    )
    assert said_of_contour(none, "valley") == (
        "The top line never makes a valley: the chords do not allow it."
    )
    # A level that climbs or falls does so everywhere, or is refused: nothing is to be said.
    assert said_of_contour(none, "rise") == said_of_contour(none, "fall") == ""
    assert said_of_contour(none, "") == ""


def test_silence_belongs_to_no_line(arranged: Arranged) -> None:
    way = arranged("Am=0000 | NC | C=0003 | Em=0007")
    assert against(way, "rise") == ()
    assert [one.what for one in against(way, "fall")] == [
        "rises from A to C", "rises from C to E", "begins a phrase in which it never falls",
    ]  # fmt: skip


@pytest.mark.parametrize("count", [1, 2, 3, 4, 7])
def test_of_many_bars_two_are_named_and_the_others_counted(
    lesson_path: Path, monkeypatch: pytest.MonkeyPatch, count: int
) -> None:
    """Those that are named and those that are counted are all that are wrong."""
    (played,) = load_lesson(lesson_path).played
    front = load_lesson(lesson_path).front
    front = replace(front, levels=(replace(front.levels[0], contour="rise"),))
    wrong = [SimpleNamespace(bar=n % 4, what="falls") for n in range(count)]
    monkeypatch.setattr(level_checks, "against", lambda *_: wrong)
    with pytest.raises(HarmonyError, match="contour = 'climbs'") as caught:
        level_checks.check_wording(front, 0, played.arrangement)
    said = caught.value.what
    more = re.findall(r", and (\d+) more$", said)
    named = said.count("it falls")
    assert named == min(count, 2) and named + sum(map(int, more)) == count
    assert (more == []) is (count <= 2) and "in bar 1 it falls" in said


@pytest.mark.parametrize(("also", "where"), [((), ""), (("guitar",), " on the ukulele")])
def test_what_is_refused_is_told_whole(
    lesson_path: Path, arranged: Arranged, also: tuple[str, ...], where: str
) -> None:
    """A mixed class is told on which of its instruments; three frets more than there were."""
    front = load_lesson(lesson_path).front
    level_ = replace(
        front.levels[0], contour="rise", limits=replace(front.levels[0].limits, max_fret=9)
    )
    front = replace(front, levels=(level_,), also=also)
    with pytest.raises(HarmonyError) as caught:
        level_checks.check_wording(front, 0, level(arranged, 0, 3, 2, 5))
    assert caught.value.what == (
        f"level 1, 'Leading', says contour = 'climbs'{where}; "
        "the top line: in bar 3 it falls from C to B"
    )
    assert caught.value.rule == "the top line of every phrase follows the contour of the level"
    mend = 'highest_fret = 12, walks in its moves, or contour = "any"'
    assert caught.value.mend == mend
    # No fret that the neck has not.
    last = front.instrument.frets
    high = replace(level_, limits=replace(level_.limits, max_fret=last - 1))
    with pytest.raises(HarmonyError) as caught:
        level_checks.check_wording(replace(front, levels=(high,)), 0, level(arranged, 0, 3, 2, 5))
    assert caught.value.mend.startswith(f"highest_fret = {last}, ")
    # A level that may go anywhere, or whose arch is told and not refused, passes.
    for contour in ("", "arch"):
        free = replace(front, levels=(replace(level_, contour=contour),))
        level_checks.check_wording(free, 0, level(arranged, 0, 3, 2, 5))


@pytest.mark.parametrize(("also", "where"), [((), ""), (("guitar",), " on the ukulele")])
def test_a_level_that_adds_nothing_says_on_which_instrument(
    lesson_path: Path, arranged: Arranged, also: tuple[str, ...], where: str
) -> None:
    front = replace(load_lesson(lesson_path).front, also=also)
    with pytest.raises(HarmonyError) as caught:
        level_checks.check_level(front, 0, level(arranged, 0, 3, 2, 5))
    assert caught.value.what == f"level 1, 'Leading', adds nothing to Four Bars of Fog{where}"


def test_a_close_of_two_bars_on_one_grip_may_stay(arranged: Arranged) -> None:
    assert not against(level(arranged, 7, 5, 3, 0, 0, 0), "fall")
    (found,) = against(level(arranged, 7, 5, 3, 0, 0, 0, 0), "fall")
    assert (found.bar, found.what) == (4, "begins a phrase and stays on A throughout")
    moved = against(level(arranged, 7, 5, 3, 0, 0, 3), "fall")
    assert (moved[0].bar, moved[0].what) == (5, "rises from A to C")
