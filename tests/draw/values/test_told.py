"""A progression as it shows itself: what is left out of a long row is said."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from lawful import ink, lawful

import harmonykit as hk
from harmonykit.draw.tree import Path, Text
from harmonykit.draw.values.told import show_progression, table_about, table_of_changes
from harmonykit.theory.chord import Chord


def test_a_table_has_two_dozen_changes_and_says_how_many_more_there_are() -> None:
    row = "C6 A7 Dm7 G7 ".split() * 7
    for chords, more in ((25, ""), (26, "1 more change is"), (28, "3 more changes are")):
        table = table_of_changes(hk.progression(row[:chords]))
        assert table.count("<tr>") == 1 + 24
        assert ("not shown" in table) == bool(more) and more in table


def test_a_picture_says_how_many_changes_it_leaves_out() -> None:
    """Each change is told once: a chord after every root, in rows of 25 to 27 different changes."""
    roots = "C Db D Eb E F Gb G Ab A Bb B".split()
    row = [f"{root}{kind}" for kind in ("6", "m7", "7") for root in roots]
    for chords, said in ((25, ""), (26, "1 more change is not"), (28, "3 more changes are not")):
        figure = show_progression(hk.progression(row[:chords]))
        told = [text for text in figure.sheet.texts if "not shown" in text]
        assert told == ([f"{said} shown."] if said else [])
        assert ("not shown" in figure.alt) == bool(said)
        lawful(figure, (9, 9, 60, 9))


def test_changes_stand_below_the_bars_in_two_columns_and_even_lines() -> None:
    """By hand: C E G A to A C sharp E G is C up one, to C sharp, with A, E and G kept."""
    figure = show_progression(hk.progression("C6 A7 Dm7 G7".split()))
    texts = [t for t in figure.sheet.all(Text) if t.anchor == "left"]
    names = [t for t in texts if "–" in t.text]
    assert [t.text for t in names] == ["C6 – A7", "A7 – Dm7", "Dm7 – G7"]
    assert {(t.x, t.size, t.weight) for t in names} == {(4.0, 10.0, 600)}
    right = max(t.box.right for t in names)
    for name in names:
        (told,) = [t for t in texts if t.baseline == name.baseline and t is not name]
        assert told.x == pytest.approx(right + 4) and told.weight == 400
        assert f"{name.text}: {told.text}" in figure.alt
        assert told.text.endswith((" stay", " stays", "move", "moves")) or "–" in told.text
    (first,) = [t for t in texts if t.baseline == names[0].baseline and t is not names[0]]
    assert "C" in first.text and first.text.endswith("; A, E and G stay") or "stay" in first.text
    steps = [b.baseline - a.baseline for a, b in pairwise(names)]
    assert steps == pytest.approx([5.2, 5.2])
    bars = [p for p in figure.sheet.all(Path) if p.stroke and p.box.width == 0]
    assert 3 < ink(names[0]).top - max(p.box.bottom for p in bars) < 9
    assert 3.5 < figure.height_mm - names[-1].baseline < 4.5


def test_a_repeated_change_is_told_once_and_nothing_moves_where_nothing_does() -> None:
    figure = show_progression(hk.progression("C6 Am7 C6 Am7".split()))
    names = [t.text for t in figure.sheet.all(Text) if "–" in t.text and "move" not in t.text]
    assert names == ["C6 – Am7", "Am7 – C6"]
    assert len([t for t in figure.sheet.texts if t.startswith("nothing moves; ")]) == 2


class Told:
    """Words about a chord as ``about`` has them: a label in twelve columns, what is said behind."""

    chord = Chord.parse("C6")

    def __init__(self, *lines: str) -> None:
        self.lines = lines

    def __str__(self) -> str:
        return "\n".join(["C6", *self.lines])


def cells(html: str) -> list[list[str]]:
    rows = re.findall(r"<tr>(.*?)</tr>", html, re.S)
    return [re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row, re.S) for row in rows]


def test_what_is_told_about_a_chord_goes_on_in_its_own_row() -> None:
    table = table_about(
        Told(
            "notes       C E G A",
            "also        Am7 and what is a long",
            "            word-",
            "            break, and more",
            "labels-of-many letters",
            "twelve-signs",
            "last        at the end",
            "",
            "            and on",
        )
    )
    assert cells(table) == [
        ["", "C6"],
        ["notes", "C E G A"],
        ["also", "Am7 and what is a long word-break, and more"],
        ["", "labels-of-many letters"],
        ["twelve-signs", ""],
        ["last", "at the end and on"],
    ]


@pytest.mark.parametrize(("count", "whole"), [(31, True), (32, True), (33, False)])
def test_a_row_that_is_shown_whole_ends_with_a_thick_line(count: int, whole: bool) -> None:
    figure = show_progression(hk.progression((["C6", "Dm7"] * 17)[:count]))
    lines = [p for p in figure.sheet.all(Path) if p.stroke and p.box.width == 0]
    last = max(lines, key=lambda p: (round(p.box.top, 2), p.box.left))
    assert (last.width > 0.6) is whole
    said = [t for t in figure.sheet.texts if "more bar" in t]
    assert said == ([] if whole else ["1 more bar is not shown."])
