"""What is said round a level's chart: its facts, its change as two diagrams, its loop, its reasons.

Words for lengths and metres are common practice, no source; notes are worked out by hand.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.front import front_page
from harmonykit.lesson.handout.levels import change_pair, level_pages, sung_page, tune_line, twins
from harmonykit.lesson.plan.model import Lesson
from harmonykit.lesson.together.rescue import hard_changes
from harmonykit.paths import find_data
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune


@pytest.fixture(scope="module")
def shipped() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


def texts(figure: dict[str, Any]) -> list[str]:
    return re.findall(r"<text[^>]*>([^<]*)", figure["svg"])


@pytest.mark.parametrize(
    ("changes", "head", "line"),
    [
        ("| C |", {}, "one bar in C major · four beats a bar · "),
        ("| C | F |", {"meter": "3/4"}, "two bars in C major · three beats a bar · "),
        ("| C | F |", {"meter": "6/8"}, "two bars in C major · two beats a bar (6/8) · "),
        ("| C | F |", {"meter": "2/2"}, "two bars in C major · two beats a bar (2/2) · "),
        ("| {1 quarter} N.C. | C |", {},
         "one bar in C major · a pick-up of one beat · four beats a bar · "),
        ("| {2 quarters} N.C. | C |", {},
         "one bar in C major · a pick-up of two beats · four beats a bar · "),
        ("| {1 quarter} N.C. | C |", {"meter": "2/2"},
         "one bar in C major · a pick-up of half a beat · two beats a bar (2/2) · "),
        ("| {3/2 quarters} N.C. | C |", {},
         "one bar in C major · a pick-up of one and a half beats · four beats a bar · "),
    ],
)  # fmt: skip
def test_a_tune_in_one_line(changes: str, head: dict[str, str], line: str) -> None:
    lines = "".join(f'{name} = "{value}"\n' for name, value in {"meter": "4/4", **head}.items())
    tune = Tune.parse(
        f'format = 1\ntitle = "Slip"\nkey = "C"\n{lines}[[sections]]\nname = "A"\n'
        f'changes = "{changes}"\n'
    )
    assert tune_line(tune, 96).startswith(line)
    # As many bars as are told, where paper has fewer than are played.
    assert tune_line(tune, 96, 7).startswith("seven bars in C major")


def test_a_tune_that_is_sung_has_a_page_of_its_own(shipped: Lesson) -> None:
    page = sung_page(shipped, Figures())
    assert page is not None
    assert page["tab"] == ["g", "C", "E", "A"] and all(row["tab"] for row in page["rows"])
    assert not any(row["boxes"] for row in page["rows"])
    silent = replace(shipped.played[0].arrangement, tune=Tune.parse("| C | F |"))
    played = replace(shipped.played[0], arrangement=silent)
    assert sung_page(replace(shipped, played=(played,)), Figures()) is None


@pytest.mark.parametrize("large", [False, True])
def test_a_change_is_two_diagrams_with_fingers_and_notes(arranged: Arranged, large: bool) -> None:
    """0003 is G C E C, held by a ring finger; 2010 is A C F A."""
    way = arranged("C=0003 F:2=2010 | C=0003 F:2=2010")
    one = hard_changes(way, 120, 1)[0]
    figures = Figures(large=large)
    pair = change_pair(one, figures)
    before, after = (figures.table()[pair[name]] for name in ("before", "after"))
    notes = {"C": ["G", "C", "E", "C"], "F": ["A", "C", "F", "A"]}
    assert one.before.chord is not None and one.after.chord is not None
    for figure, chord in ((before, one.before.chord), (after, one.after.chord)):
        written = texts(figure)
        assert written[0] == chord.unicode
        assert written[-4:] == notes[chord.unicode]
        assert any(each.isdigit() for each in written[1:-4])
    # The second one tells what moved; the first does not.
    assert "moved" in after["alt"] or "lifted" in after["alt"] or "from" in after["alt"]
    assert "moved" not in before["alt"]
    verbs = [verb for verb, _ in pair["lines"]]
    assert verbs[0] in ("bar", "bars")
    assert ("easier" in verbs) == (large and bool(pair["easier"]))
    silent = replace(one, before=replace(one.before, chord=None))
    assert change_pair(silent, figures) == {}


def test_shapes_with_two_names_are_told(arranged: Arranged) -> None:
    """0000 on g C E A is C6 and Am7; 2020 is A D E B... no chord of two names here."""
    once = arranged("C6=0000 Am7:2=0000 | F=2010")
    assert twins(once) == "One shape has two names: 0-0-0-0 is C6 and Am7."
    both = arranged("C6=0000 Am7:2=0000 | F6=2213 Dm7:2=2213")
    assert twins(both) == (
        "One shape may have several names: 0-0-0-0 is C6 and Am7; 2-2-1-3 is F6 and Dm7."
    )
    shape = both.shapes[0]
    # It follows a sentence on the shapes of the levels before: others may have two names as well.
    assert twins(both, [shape]) == f"One of them has two names: {shape.digits} is C6 and Am7."
    assert twins(both, []) == ""
    assert twins(arranged("C=0003 | F=2010")) == ""


def pages_of(shipped: Lesson, way: Arrangement) -> dict[str, Any]:
    played = replace(shipped.played[0], arrangement=way)
    (page,) = level_pages(replace(shipped, played=(played,)), Figures())
    return page


def test_reasons_alike_are_told_together(shipped: Lesson, arranged: Arranged) -> None:
    """Two chords for one reason: both names, all bars, "each"; of one, what it moves."""
    way = arranged("C=0003 C#dim7:2=0101 | Dm=2210 D#dim7:2=2323 | Em=0432 | C=0003")
    steps = list(way.steps)

    def added(place: int, reason: str) -> None:
        steps[place] = replace(steps[place], move="x", reason=reason, written=Chord.parse("C"))

    added(1, "C♯°7 leads to what follows: C rises")
    added(3, "D♯°7 leads to what follows: D rises")
    page = pages_of(shipped, replace(way, steps=tuple(steps)))
    (reason,) = page["reasons"]
    assert reason["names"] == "C♯°7, D♯°7"
    assert reason["text"] == "each leads to what follows."
    assert "1" in reason["bars"] and "2" in reason["bars"]
    # A reason that is the same but for the shapes is told whole.
    whole = list(steps)
    for place, moved in ((1, "C rises"), (3, "C stays")):
        said = f"C♯°7 leads to Dm: its root is a half step below D; in these shapes {moved}."
        whole[place] = replace(
            steps[1], bar=steps[place].bar, onset=steps[place].onset, reason=said
        )
    (same,) = pages_of(shipped, replace(way, steps=tuple(whole)))["reasons"]
    assert same["text"] == "leads to Dm: its root is a half step below D."
    one = list(way.steps)
    one[1] = steps[1]
    (alone,) = pages_of(shipped, replace(way, steps=tuple(one)))["reasons"]
    assert (alone["names"], alone["text"]) == ("C♯°7", "leads to what follows: C rises")
    steps[1] = replace(steps[1], reason="Walks up the scale")
    steps[3] = replace(steps[3], reason="Walks up the scale")
    (walk,) = pages_of(shipped, replace(way, steps=tuple(steps)))["reasons"]
    assert walk["names"].count(",") == 1 and walk["text"] == "walk up the scale"
    one[1] = steps[1]
    (walk,) = pages_of(shipped, replace(way, steps=tuple(one)))["reasons"]
    assert (walk["names"], walk["text"]) == ("C♯°7", "walks up the scale")


def test_the_loop_leads_over_the_bar_line(shipped: Lesson, arranged: Arranged) -> None:
    way = arranged("C=0003 | E=4442 | Am=2000 | C=0003")
    page = pages_of(shipped, way)
    loop = page["loop"]
    hard = [one for one in hard_changes(way, shipped.played[0].level.tempo, None) if one.effort > 0]
    first = next(one for one in hard if one.over_a_bar_line)
    assert loop["about"] == f"bars {first.before.bar + 1} and {first.before.bar + 2}"
    assert loop["said"] == (
        f"Look at the frets of {first.after.chord.unicode} before the bar ends."
        if first.after.chord
        else ""
    )
    assert loop["bars"][0]["x"] == 60 and loop["note"].startswith("Loop it at ")
    within = arranged("C=0003 E:2=4442 | E=4442 | E=4442 C:2=0003 | C=0003")
    assert pages_of(shipped, within)["loop"] is None


def test_a_level_is_headed_by_its_facts(shipped: Lesson, arranged: Arranged) -> None:
    page = pages_of(shipped, arranged("C=0003 | F=2010 | G7=0212 | C=0003"))
    assert page["short"] == "level 1"
    assert page["tuned"] == "tuned g C E A"
    assert page["facts"][0] == "four bars in C major"
    assert page["facts"][1].startswith("four beats a bar · ")
    assert len(page["changes"]) == 2


def test_large_print_has_larger_figures_that_fit_the_page(shipped: Lesson) -> None:
    """About half as large again; the clock beside the text, in less than 174 mm."""
    found = {}
    for large in (False, True):
        figures = Figures(large=large)
        page = front_page(shipped, figures)
        table = figures.table()
        found[large] = (
            table[page["tuning"]]["wide"], table[page["clock"]["figure"]]["wide"],
        )  # fmt: skip
    for plain, large, most in zip(found[False], found[True], (60, 130), strict=True):
        assert 1.4 <= large / plain <= 1.7 and large <= most
