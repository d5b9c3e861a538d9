"""Lines of bars: where moments, numbers, sections and names stand, worked by hand in mm."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from lawful import ink
from small_arrangements import _arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.plots.systems import (
    System,
    draw_bar_lines,
    draw_names,
    draw_numbers,
    lay_out,
    names_of,
)
from harmonykit.draw.tree import Path, Sheet, Text
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Section


def bars(count: int, bar: str = "C6=0000") -> Arrangement:
    return _arranged(" | ".join([bar] * count))


def systems(way: Arrangement, span: tuple[int, int] | None = None) -> tuple[System, ...]:
    return lay_out([way], span, 1.0, 151.0).systems


def test_a_moment_stands_in_its_bar_behind_the_pad_of_its_line() -> None:
    """By hand: three bars share 150 mm; the first moment of a bar stands 2.6 mm behind its line."""
    (line,) = systems(bars(3))
    assert (line.left, line.wide, line.right) == (1.0, 50.0, 151.0)
    assert (line.start, line.end) == (0, 12)
    for moment, x in ((0, 3.6), (1, 3.6 + 47.4 / 4), (4, 53.6), (6, 53.6 + 23.7), (8, 103.6)):
        assert line.at(Fraction(moment)) == pytest.approx(x)
    assert line.at(Fraction(12)) == line.at(Fraction(20)) == 151.0
    assert [line.holds(Fraction(n)) for n in (0, 11, 12)] == [True, True, False]
    _, second = systems(bars(9))
    assert not second.holds(second.start - 1) and second.holds(second.start)


@pytest.mark.parametrize(
    ("count", "lines"),
    [
        # Eight bars a line at the most; a few less where that leaves all lines whole.
        (1, [1]), (2, [2]), (7, [7]), (8, [8]), (9, [8, 1]), (10, [5, 5]), (12, [6, 6]),
        (15, [5, 5, 5]), (16, [8, 8]), (17, [8, 8, 1]), (22, [8, 8, 6]),
    ],
)  # fmt: skip
def test_lines_have_as_many_bars_as_eight_and_are_whole_where_they_can_be(
    count: int, lines: list[int]
) -> None:
    found = systems(bars(count))
    assert [len(line.bars) for line in found] == lines
    assert [line.first for line in found] == [sum(lines[:n]) for n in range(len(lines))]
    # All bars are equally wide, also those of a line that is not full.
    assert {line.wide for line in found} == {150.0 / lines[0]}


def test_some_bars_are_those_by_their_numbers_and_others_are_refused() -> None:
    (some,) = systems(bars(9), (3, 5))
    assert (some.first, len(some.bars)) == (2, 3)
    (one,) = systems(bars(9), (9, 9))
    assert (one.first, len(one.bars)) == (8, 1)
    for wrong in ((0, 3), (3, 10), (5, 3), (12, 14)):
        with pytest.raises(HarmonyError, match="of 9 bars as played") as told:
            systems(bars(9), wrong)
        assert "(1, 8)" in str(told.value)
    with pytest.raises(HarmonyError) as told:
        systems(bars(3), (0, 3))
    assert "(1, 3)" in str(told.value)


def test_a_line_has_fewer_bars_where_chords_come_close_or_names_are_long() -> None:
    """Stems stand 3.6 mm apart at the least; names that overlap take two rows, no more."""
    quick = bars(8, "C6=0000 F:1=2010 C6:2=0000 F:3=2010")
    for line in systems(quick):
        spots = [line.at(step.onset) for step in quick.steps if line.holds(step.onset)]
        assert all(b - a >= 3.6 for a, b in pairwise(spots))
    wide = bars(8, "C6=0000 F#m7b5:1=2222 C6:2=0000 Bbm7b5:3=1111")
    layout = lay_out([wide], None, 1.0, 151.0)
    assert len(layout.systems) > 1 and {*layout.rows} == {(2,)}
    assert {*lay_out([bars(8)], None, 1.0, 151.0).rows} == {(1,)}
    # Two together need what each of them needs.
    both = lay_out([bars(8), wide], None, 1.0, 151.0)
    assert [(s.first, len(s.bars)) for s in both.systems] == [
        (s.first, len(s.bars)) for s in layout.systems
    ]
    assert {*both.rows} == {(1, 2)}


def added(way: Arrangement, at: int) -> Arrangement:
    """Return an arrangement in which the chord at a moment stands in place of another."""
    steps = [
        replace(step, written=Chord.parse("Gm7")) if step.onset == at else step
        for step in way.steps
    ]
    return replace(way, steps=tuple(steps))


def test_names_stand_left_of_their_moment_once_in_each_line() -> None:
    """Their left edge is half a head, one mm, before the moment; a name is not repeated."""
    way = bars(10)
    for line in systems(way):
        assert [*names_of(way, line)] == [(line.at(line.start) - 1.0, "C6", False)]
    two = added(_arranged("C6=0000 F:2=2010 | NC | C6=0000 | C6=0000"), 2)
    (line,) = systems(two)
    found = [*names_of(two, line)]
    assert [(name, new) for _, name, new in found] == [
        ("C6", False),
        ("F", True),
        (found[2][1], False),
        ("C6", False),
    ]
    assert [x for x, *_ in found] == pytest.approx(
        [line.at(Fraction(n)) - 1.0 for n in (0, 2, 4, 8)]
    )


def drawn(way: Arrangement, line: System) -> Sheet:
    canvas = Canvas(152, 40)
    draw_names(canvas, way, line, 10.0)
    return canvas.drawing("names", "names").sheet


def test_names_stand_by_turns_in_two_rows_where_one_has_no_room() -> None:
    """By hand: a row is 4.3 mm high; a name's baseline lies 3 mm under the top of its row."""
    way = added(bars(4, "C6=0000 F#m7b5:1=2222 C6:2=0000 Bbm7b5:3=1111"), 1)
    for line in systems(way):
        sheet = drawn(way, line)
        names = sheet.all(Text)
        assert {round(t.baseline, 3) for t in names} == {13.0, 17.3}
        assert {t.size for t in names} == {8.5} and {t.anchor for t in names} == {"left"}
        assert [t.text for t in names] == [name for _, name, _ in names_of(way, line)]
        for level in (13.0, 17.3):
            row = [t for t in names if t.baseline == level]
            for one, other in pairwise(row):
                assert other.box.left - one.box.right >= 1.3 - 1e-9
        for before, name in pairwise(names):
            # Down only where the upper row has no room.
            if name.baseline > 13.0:
                assert name.box.left - before.box.right < 1.3 or before.baseline == 13.0
        bold = [t for t in names if t.weight == 600]
        lines = sheet.all(Path)
        assert (
            [t.text for t in bold]
            == ["F♯m7♭5"] * (line.first == 0)
            == [t.text for t in bold if t.text == "F♯m7♭5"]
        )
        for name, under in zip(bold, lines, strict=True):
            assert (under.box.left, under.box.right) == pytest.approx(
                (name.box.left, name.box.right)
            )
            assert under.box.top - name.baseline == pytest.approx(0.9)
            assert under.width == 0.25


def test_a_name_may_reach_a_mm_past_the_last_line_and_no_farther() -> None:
    for symbol in ("C6", "F#m7b5", "Bbm7b5/Ab"):
        way = bars(8, f"C6=0000 {symbol}:3=2222")
        for line in systems(way):
            assert max(t.box.right for t in drawn(way, line).all(Text)) <= line.right + 1.0


def test_bar_lines_stand_before_each_bar_and_behind_the_last() -> None:
    canvas = Canvas(152, 40)
    (line,) = systems(bars(4))
    draw_bar_lines(canvas, line, 5.0, 25.0)
    (path,) = canvas.drawing("lines", "lines").sheet.all(Path)
    xs = [1.0, 38.5, 76.0, 113.5, 151.0]
    assert path.strokes() == tuple(((x, 5.0), (x, 25.0)) for x in xs)
    assert (path.stroke, path.width) == ("hair", 0.15)


def numbered(way: Arrangement) -> list[Text]:
    canvas = Canvas(152, 40)
    (line,) = systems(way)
    draw_numbers(canvas, line, way, 10.0)
    return canvas.drawing("numbers", "numbers").sheet.all(Text)


def test_bars_are_numbered_at_their_lines_and_sections_named_behind_the_number() -> None:
    """By hand: 3 mm under the top; the name 1.6 mm behind the number, bold, if a bar has room."""
    way = bars(6)
    assert [(t.text, t.x, t.baseline) for t in numbered(way)] == [
        (str(n + 1), pytest.approx(1 + 25 * n), 13.0) for n in range(6)
    ]
    assert {(t.size, t.colour, t.weight) for t in numbered(way)} == {(8.0, "soft", 400)}
    (whole,) = way.tune.sections
    one, two = whole.bars[:1], whole.bars[1:]
    long = "a section whose name is longer than its bar"
    for name, shown in (("B", ["A", "B"]), (long, ["A"])):
        parts = (Section("A", one), Section(name, two))
        tune = replace(way.tune, sections=parts, order=("A", name))
        texts = numbered(replace(way, tune=tune))
        heads = [t for t in texts if t.weight == 600]
        assert [t.text for t in heads] == shown
        for head, number in zip(heads, [t for t in texts if t.text in "12"], strict=False):
            assert head.x - number.box.right == pytest.approx(1.6)
            assert (head.baseline, head.size, head.colour) == (number.baseline, 8.0, "ink")
            assert ink(head).right < number.x + 25
