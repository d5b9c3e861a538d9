"""A chart of bars: where bar lines, chords and words stand, worked by hand in mm.

A sheet for the screen is 152 mm wide, 4 mm are left at each side: four bars share 144 mm.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from lawful import ink, lawful

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.chart import Cell, Chart, ChartBar, chart_height, lay_chart
from harmonykit.draw.tree import Group, Path, Sheet, Text


def sheet_of(chart: Chart) -> Sheet:
    canvas = Canvas(152, chart_height(chart))
    lay_chart(canvas, chart)
    drawing = canvas.drawing("chart", "a chart")
    lawful(drawing, (4.1, 4.5, 150, 6))
    return drawing.sheet


def chart_of(*bars: ChartBar, last: bool = True) -> Chart:
    return Chart("Harbour Row", "C major, 4/4", bars, last=last)


def plain(count: int) -> list[ChartBar]:
    return [ChartBar(n, (Cell(0, "C"),)) for n in range(1, count + 1)]


def uprights(sheet: Sheet) -> list[Path]:
    """Return the bar lines, row by row from the left."""
    lines = [p for p in sheet.all(Path) if p.stroke and p.box.width == 0]
    return sorted(lines, key=lambda p: (round(p.box.top), p.box.left))


def spot(sheet: Sheet, text: str) -> Text:
    (found,) = [each for each in sheet.all(Text) if each.text == text]
    return found


def test_four_bars_of_a_line_are_equally_wide_and_fill_the_room() -> None:
    sheet = sheet_of(chart_of(*plain(6)))
    lines = uprights(sheet)
    assert [p.box.left for p in lines[:5]] == pytest.approx([4, 40, 76, 112, 148])
    # Two bars are no wider than those above them.
    assert [p.box.left for p in lines[5:]] == pytest.approx([4, 40, 76])
    assert len({round(p.box.height, 3) for p in lines}) == 1
    assert lines[5].box.top > lines[0].box.bottom + 3


def test_the_last_line_alone_ends_thick() -> None:
    for last in (True, False):
        widths = [p.width for p in uprights(sheet_of(chart_of(*plain(6), last=last)))]
        assert len(set(widths[:-1])) == 1
        assert (widths[-1] > 2 * widths[0]) is last


def test_a_section_begins_a_line_and_a_pick_up_is_a_fifth_bar() -> None:
    bars = plain(3)
    bars[1] = ChartBar(2, (Cell(0, "C"),), section="B")
    assert [len(line) for line in chart_of(*bars).lines] == [1, 2]
    picked = [ChartBar(0, (Cell(0, "G7"),)), *plain(5)]
    assert [[bar.number for bar in line] for line in chart_of(*picked).lines] == [
        [0, 1, 2, 3, 4],
        [5],
    ]
    # A pick-up has no number.
    assert "0" not in sheet_of(chart_of(*picked)).texts


def test_a_line_that_would_crowd_is_cut_in_two() -> None:
    long = tuple(Cell(n / 4, "F♯m7♭5(add11)") for n in range(2))
    crowded = chart_of(*(ChartBar(n, long) for n in range(1, 5)))
    assert [len(line) for line in crowded.lines] == [2, 2]
    sheet_of(crowded)
    odd = chart_of(*(ChartBar(n, long) for n in range(1, 4)))
    assert [len(line) for line in odd.lines] == [2, 1]


def test_a_bar_that_needs_more_room_takes_it_from_the_others_alike() -> None:
    bars = plain(4)
    bars[1] = ChartBar(2, tuple(Cell(n / 4, "E♭maj7") for n in range(4)))
    lines = uprights(sheet_of(chart_of(*bars)))
    widths = [b.box.left - a.box.left for a, b in pairwise(lines)]
    assert widths[1] == pytest.approx(bars[1].need) and widths[1] > 36
    assert widths[0] == pytest.approx(widths[2]) == pytest.approx(widths[3])
    assert sum(widths) == pytest.approx(144)


def test_chords_stand_at_their_beats() -> None:
    """A half bar on stands half of what is left between the bar's two pads of 2.2 mm."""
    sheet = sheet_of(chart_of(ChartBar(1, (Cell(0, "C"), Cell(0.5, "F"))), *plain(4)[1:]))
    first, half = spot(sheet, "F"), uprights(sheet)[0].box.left
    at = [t for t in sheet.all(Text) if t.text == "C"][0]
    assert at.box.left - half == pytest.approx(2.2)
    assert first.box.left - at.box.left == pytest.approx((36 - 4.4) / 2)
    assert at.baseline == first.baseline
    # As much air above the capitals as below them.
    line = uprights(sheet)[0].box
    assert line.bottom - at.baseline == pytest.approx(ink(at).top - line.top, abs=0.5)
    assert 1 < line.bottom - at.baseline < 2.5


def test_a_late_chord_gives_way_within_its_bar() -> None:
    name = "F♯m7♭5"
    sheet = sheet_of(chart_of(ChartBar(1, (Cell(0, "C"), Cell(0.9, name))), *plain(4)[1:]))
    late = spot(sheet, name)
    assert uprights(sheet)[1].box.left - late.box.right == pytest.approx(2.2, abs=0.05)
    early = sheet_of(chart_of(ChartBar(1, (Cell(0, name), Cell(0.1, "C7"))), *plain(4)[1:]))
    assert spot(early, "C7").box.left - spot(early, name).box.right == pytest.approx(2.6, abs=0.05)


def test_an_added_chord_is_underlined_as_wide_as_it_is() -> None:
    sheet = sheet_of(chart_of(ChartBar(1, (Cell(0, "B°7", added=True), Cell(0.5, "C")))))
    (group,) = sheet.all(Group, "added")
    name, line = group.parts
    assert isinstance(name, Text) and isinstance(line, Path)
    assert (line.box.left, line.box.right) == pytest.approx((name.box.left, name.box.right))
    assert 0.8 <= ink(line).top - name.baseline <= 1.6 and line.stroke == "third"
    assert name.weight > spot(sheet, "C").weight
    assert ink(line).bottom < uprights(sheet)[0].box.bottom


def test_frets_stand_flush_below_their_chord_and_make_the_line_higher() -> None:
    bare, told = (
        sheet_of(chart_of(ChartBar(1, (Cell(0, "C6", below), Cell(0.5, "F")))))
        for below in ("", "0000")
    )
    frets, name = spot(told, "0000"), spot(told, "C6")
    assert frets.box.left == name.box.left and frets.size < name.size
    assert 1 < ink(frets).top - name.baseline < 4
    assert frets.baseline < uprights(told)[0].box.bottom
    assert told.height - bare.height == pytest.approx(5)
    assert uprights(told)[0].box.height - uprights(bare)[0].box.height == pytest.approx(5)


def test_a_bar_without_a_chord_bears_the_sign_of_repetition_in_its_middle() -> None:
    """A stroke between two dots, the same when it is turned half round: common practice."""
    sheet = sheet_of(chart_of(ChartBar(1, (Cell(0, "C"),)), ChartBar(2, ())))
    group = sheet.all(Group, "bar")[1]
    _, stroke, *dots = [part for part in group.parts if isinstance(part, Path)]
    lines = uprights(sheet)
    middle = 58.0, (lines[0].box.top + lines[0].box.bottom) / 2
    assert stroke.box.middle == pytest.approx(middle)
    # It rises to the right, and one dot is on each side of it.
    (left, low), (right, high) = stroke.ends
    assert left < right and low > high
    one, other = sorted(dot.box.middle for dot in dots)
    assert one[0] + other[0] == pytest.approx(2 * middle[0])
    assert one[1] + other[1] == pytest.approx(2 * middle[1])
    assert one[1] < middle[1] < other[1] and 2.5 < other[0] - one[0] < 3.5
    assert 2 < stroke.box.width < 3.5 < stroke.box.height < 4.5
    assert all(0.7 < dot.box.width < 1.2 for dot in dots) and 0.5 < stroke.width < 1


def test_repeats_have_dots_inside_a_thick_line() -> None:
    opening = ChartBar(1, (Cell(0, "C"),), opens=True)
    closing = ChartBar(2, (Cell(0, "F"),), closes=True)
    sheet = sheet_of(chart_of(opening, closing, *plain(4)[2:]))
    bars = sheet.all(Group, "bar")
    top, bottom = uprights(sheet)[0].box.top, uprights(sheet)[0].box.bottom
    for bar, edge, side in ((bars[0], 4.0, 1), (bars[1], 76.0, -1)):
        dots = [p for p in bar.parts if isinstance(p, Path) and p.fill]
        assert len({round(dot.box.middle[0], 3) for dot in dots}) == 1 and len(dots) == 2
        away = (dots[0].box.middle[0] - edge) * side
        assert 1.2 < away < 2.2
        ys = [dot.box.middle[1] for dot in dots]
        assert sum(ys) == pytest.approx(top + bottom) and 2 < abs(ys[1] - ys[0]) < 3.2
        assert all(0.7 < dot.box.width < 1.2 for dot in dots)
        thick = [p for p in bar.parts if isinstance(p, Path) and p.width > 0.6]
        assert len(thick) == 1 and abs(thick[0].box.left - edge) <= 0.6
        assert (thick[0].box.top, thick[0].box.bottom) == (top, bottom)
    # The chord keeps clear of the dots.
    assert spot(sheet, "F").box.left == pytest.approx(40 + 2.2)
    first = [t for t in sheet.all(Text) if t.text == "C"][0]
    assert first.box.left == pytest.approx(4 + 2.2 + 1.6)


def test_words_over_a_bar_keep_to_its_ends() -> None:
    bar = ChartBar(7, (Cell(0, "C"),), section="Verse", above="3/4", after="D.C.", ending=True)
    sheet = sheet_of(chart_of(bar, *plain(3)))
    section, words, jump = (spot(sheet, text) for text in ("Verse", "7  3/4", "D.C."))
    lines = uprights(sheet)
    assert section.box.left == pytest.approx(lines[0].box.left)
    assert words.box.left - section.box.right == pytest.approx(2.6)
    assert 2 < lines[1].box.left - jump.box.right < 4
    assert section.baseline == words.baseline == jump.baseline
    assert 1 < lines[0].box.top - words.baseline < 2.4
    (over,) = [p for p in sheet.all(Path) if p.stroke and p.box.height == 0]
    assert over.box.left - 4 == pytest.approx(40 - over.box.right) and 0.3 < over.box.left - 4 < 1
    assert over.box.top < ink(section).top


def test_titles_and_foot_stand_flush_at_the_left_one_below_the_other() -> None:
    chart = Chart("Harbour Row", "C major, 4/4", tuple(plain(4)), "Order: A B A.")
    sheet = sheet_of(chart)
    title, below, foot = (spot(sheet, t) for t in (chart.title, chart.below, chart.foot))
    assert title.box.left == below.box.left == foot.box.left == uprights(sheet)[0].box.left == 4
    assert title.size > below.size == foot.size and title.weight == 600
    assert 1.5 < ink(below).top - title.baseline < 4.5
    assert uprights(sheet)[0].box.bottom < ink(foot).top - 1
    assert sheet.height - foot.baseline < 6
    # By hand: 2 above, 7 for the title, 5 below, a line of 6.5 + 8, 5 for the foot, 4 at the end.
    assert chart_height(chart) == pytest.approx(2 + 7 + 5 + 14.5 + 5 + 4)


def test_a_title_of_two_lines_pushes_all_down_by_one() -> None:
    long = "A tune of so very many words that no line of a hundred and fifty mm holds all of them"
    one, two = (sheet_of(Chart(t, "C major", tuple(plain(4)))) for t in ("Row", long))
    heads = [text for text in two.all(Text) if text.size == 17]
    assert " ".join(text.text for text in heads) == long and len(heads) == 2
    assert two.height - one.height == pytest.approx(7)
    assert uprights(two)[0].box.top - uprights(one)[0].box.top == pytest.approx(7)


def test_words_of_two_lines_below_the_title_push_the_bars_down_by_one() -> None:
    long = "C major, 4/4, " + "played first as written and then with all the chords " * 4
    one, two = (Chart("Row", below, tuple(plain(4))) for below in ("C major", long.strip()))
    small = [
        text for text in sheet_of(two).all(Text) if text.size == spot(sheet_of(one), "C major").size
    ]
    lines = [text.baseline for text in small if text.text in long]
    assert len(lines) > 1
    # Each line of them takes 5 mm, as the first does.
    assert chart_height(two) - chart_height(one) == pytest.approx(5 * (len(lines) - 1))
    assert [b - a for a, b in pairwise(lines)] == pytest.approx([5] * (len(lines) - 1))
