"""How much room the bars of the page take: the widths that are reckoned are those of its style.

The style sheet is what a browser goes by; where it says a length, the reckoning has the same one.
The widths of letters are those of the fonts, by fontTools.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.lesson.page import chart
from harmonykit.lesson.page.chart import BarView, Cell, needed_width, paper_class
from harmonykit.lesson.page.figures import Figures, Styles, Symbol
from harmonykit.lesson.page.printed import PrintedBar, SungView
from harmonykit.lesson.page.rows import beside_classes, beside_css, fit_css
from harmonykit.lesson.plan.model import Level, Played
from harmonykit.paths import shared_dir
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Section

STYLE = (shared_dir() / "templates" / "page.css").read_text("utf-8")
PX_PER_MM = 96 / 25.4
Arranged = Callable[..., Arrangement]


def lengths(selector: str, name: str) -> list[float]:
    """Return the pixels that the style sheet gives a property."""
    rule = re.findall(rf"^ *{re.escape(selector)} \{{([^}}]*)\}}", STYLE, re.M)[0]
    (value,) = re.findall(rf"(?:^|[ ;]){name}: ([^;]+);", rule)
    return [float(each) for each in re.findall(r"(-?[\d.]+)(?:px|\b)", value)]


def cell(slashes: int = 0, wide: float = 0.0, left: float = 0.0, **fields: object) -> Cell:
    symbol = Symbol("s", "", wide, 50.0, left) if wide else None
    return replace(Cell(0, Fraction(1), slashes, name="C", symbol=symbol), **fields)  # type: ignore[arg-type]


def name_px(name: str) -> float:
    """How wide a name is in the page's 18 pixels (13 points and a half at most)."""
    return text_width(name, 13.0, SEMIBOLD) * PX_PER_MM


def test_a_name_has_the_room_that_the_style_gives_it() -> None:
    (behind,) = lengths(".beats .chord", "padding-right")
    stroke = round(behind + text_width("/", 13.0) * PX_PER_MM + behind)
    for name in ("C", "F♯m7♭5", "B♭mmaj7"):
        plain, struck = cell(name=name), cell(1, name=name)
        assert plain.width == pytest.approx(name_px(name) + 2 * behind)
        assert struck.width == pytest.approx(name_px(name) + stroke)
    # One more stroke takes the room of one; without any there is none to add.
    strokes = [cell(n).stroked for n in range(6)]
    assert strokes[0] == cell().width and strokes[1] == cell(1).width
    for n in range(1, 6):
        assert strokes[n] == pytest.approx(strokes[1] + (n - 1) * stroke)
    (sign,), (apart,) = lengths(".hold", "width"), lengths(".hold", "margin-left")
    assert cell(held=True).width == pytest.approx(cell().width + sign + apart)


def test_a_box_is_as_wide_as_it_is_and_its_name_begins_at_the_first_string() -> None:
    assert cell(1, 200.0, 9.0).width == 200.0
    narrow = cell(1, 5.0, 9.0)
    assert narrow.width == pytest.approx(cell(1).width + 9.0)
    # On paper a box that came before is left away, and its name stays.
    for wide in (5.0, 200.0):
        first, again = cell(1, wide, 9.0), cell(1, wide, 9.0, again=True)
        assert first.printed == first.width == again.width
        assert again.printed == pytest.approx(cell(1).width + 9.0)


def bars(*widths: float, again: bool = False) -> tuple[BarView, ...]:
    return tuple(BarView("1", "", (cell(0, wide, again=again),)) for wide in widths)


def test_a_row_of_the_page_is_as_full_as_its_fullest_bar() -> None:
    line, end = lengths(".bar", "border-width")[1], lengths(".bar.closes-end", "border-right-width")
    taken = needed_width(bars(100.0)) - 100
    # The thick line behind a bar and the thin one before it, of which half is the bar's before.
    assert end[0] < taken <= end[0] + line
    assert needed_width(bars(60.0, 200.0, 90.0)) == 200 + taken
    assert needed_width(bars(100.2)) == 101 + taken and needed_width(()) == taken
    two = (BarView("1", "", (cell(0, 100.0), cell(0, 50.0))),)
    assert needed_width(two) == 150 + taken


def test_on_paper_four_bars_or_two_stand_in_a_row_where_they_fit() -> None:
    column = lengths(".column", "width")[0]
    lead = lengths(".fit.paper-4 .chart.led", "grid-template-columns")[0]
    line = needed_width(())
    for count, name, next_name in ((4, "paper-4", "paper-2"), (2, "paper-2", "paper-1")):
        most = (column - lead) / count - line
        assert paper_class(bars(most - 0.1, 50.0)) == name
        assert paper_class(bars(50.0, most)) == paper_class(bars(most + 0.1)) == next_name
        # Its words take room as its chords do.
        assert paper_class(bars(50.0), most - 0.1) == name
        assert paper_class(bars(50.0), most + 0.1) == next_name
    assert paper_class(()) == "paper-4"
    # What came before takes no room but that of its name.
    assert (
        paper_class(bars(400.0)) == "paper-1" and paper_class(bars(400.0, again=True)) == "paper-4"
    )


def test_four_bars_go_beyond_the_column_alone_where_they_do_not_fit_in_it() -> None:
    column = lengths(".column", "width")[0]
    room = int((column - 1) // 4)
    assert "@media" not in fit_css(room) and "@media" in fit_css(room + 1)
    for width in (150, room + 1, 220):
        css = fit_css(width)
        four = 4 * width + 1
        screens = [int(px) for px in re.findall(r"@media screen and \(min-width:(\d+)px\)", css)]
        if not screens:
            continue
        # Beside it as many pixels on the left as on the right, more than beside the column.
        beside, odd = divmod(screens[0] - four, 2)
        assert odd == 0 and 18 <= beside <= 44
        assert f"width:{four}px;margin-left:calc((100% - {four}px) / 2)" in css


def test_a_second_ending_stands_under_the_first_in_each_of_four_columns() -> None:
    """The columns of a grid are counted from 1; with a pick-up's column before them from 2."""
    css = fit_css(150)
    (lead,) = re.findall(r"grid-template-columns:(\d+)px repeat\(4,minmax\(0,1fr\)\)", css)
    assert lengths(".fit.paper-4 .chart.led", "grid-template-columns")[0] < int(lead) < 150
    for n in (1, 2, 3):
        assert f".fit-150 .row.under-{n}{{grid-column-start:{n + 1}}}" in css
        assert f".fit-150 .led .row.under-{n}{{grid-column-start:{n + 2}}}" in css
    assert "under-0" not in css and "under-4" not in css
    assert ".fit-150 .led .row{grid-column-start:2}" in css
    assert re.findall(r"repeat\((\d),", css) == ["2", "4", "4"]


@pytest.mark.parametrize("room", [200, 300, 328, 400])
def test_where_rows_are_narrow_two_bars_stand_side_by_side_if_they_fit(room: int) -> None:
    """Every pair of widths: its bars share a row exactly if both have their width in it."""
    for widths in product((60.0, 97.5, 150.0, 163.9, 210.0), repeat=2):
        styles = Styles()
        classes = beside_classes(widths, [0, -1], styles)
        own = dict(re.findall(r"\.(\w+)\{--at:([\d.]+)%\}", styles.css))
        shares = []
        for name in classes:
            rules = {kind: int(px) for kind, px in re.findall(r"(sum|half)-(\d+)", name)}
            if room >= rules["half"]:
                shares.append(50.0)
            elif room >= rules.get("sum", rules["half"]):
                shares.append(float(own[name.split()[0]]))
        assert len(shares) in (0, 2) and sum(shares) in (0, pytest.approx(100))
        assert bool(shares) == (math.ceil(sum(widths)) <= room)
        # Nothing is cut by more than the rounding of a share.
        fits = zip(shares, widths, strict=False)
        assert all(share / 100 * room >= width - 0.3 for share, width in fits)


def test_rows_begin_where_they_begin_and_an_odd_bar_stands_alone() -> None:
    styles = Styles()
    names = beside_classes([90.0] * 6, [0, -1, -1, 0, -1, 2], styles)
    assert [bool(name) for name in names] == [True, True, False, True, True, False]
    rules = "".join(beside_css(names))
    assert "half-180" in rules and "sum" not in rules


def test_sung_words_and_frets_have_the_room_that_the_style_gives_them() -> None:
    def px(*notes: SungView) -> float:
        return PrintedBar(0, (), "", 0, {}, notes).sung_px

    def note(*words: str) -> SungView:
        return SungView("", 0, "3", words)

    left, right = lengths(".melody", "padding")[3], lengths(".melody", "padding")[1]
    (least,), (behind,) = lengths(".sung", "min-width"), lengths(".sung i", "padding-right")
    (letters,) = lengths(".sung i", "font-size")
    line = lengths(".bar", "border-width")[1]
    sides = px()
    assert left + right < sides <= left + right + 2 * line
    assert px(note("")) == px(note()) == sides + least
    assert px(note("i")) == sides + least
    wide = text_width("moonlight", letters * 0.75) * PX_PER_MM + behind
    assert px(note("moonlight")) == pytest.approx(sides + wide)
    # The longest of the verses counts, and each note for itself.
    assert px(note("a", "moonlight", "")) == pytest.approx(sides + wide)
    assert px(note("moonlight"), note(), note("moonlight")) == pytest.approx(
        sides + 2 * wide + least
    )


def level(way: Arrangement, tempo: float = 60) -> Played:
    own = Level("plain", (), "", limits_at(3, way.instrument), 0.1, tempo)
    return Played(own, way, "level-1")


def view(way: Arrangement, tempo: float = 60) -> chart.ChartView:
    return chart.view_chart(0, level(way, tempo), Figures(Styles()))


def test_a_box_is_drawn_again_where_the_page_shows_each_bar_alone(arranged: Arranged) -> None:
    way = arranged("C=0003 | F=2010 | C=0003 | G7=0212 | F=2010")
    figures = Figures(Styles())

    def again(drawn: tuple[int, ...] | None) -> list[list[bool]]:
        return [[one.again for one in bar.cells] for bar in chart.view_bars(way, figures, drawn)]

    assert again(None) == [[False]] * 5
    assert again((0, 1, 2, 3, 4)) == [[False], [False], [True], [False], [True]]
    # Of bars that are not drawn nothing is seen, and nothing came before.
    assert again((2, 4)) == [[], [], [False], [], [False]]


@pytest.mark.parametrize(
    ("meter", "beats"),
    [((2, 4), ("two", "2")), ((3, 4), ("two and three", "2 3")), ((4, 4), ("two and four", "2 4")),
     ((6, 8), ("two", "2")), ((9, 8), ("two and three", "2 3")), ((5, 4), None)],
)  # fmt: skip
def test_the_click_leaves_the_first_beat_to_the_class(
    arranged: Arranged, meter: tuple[int, int], beats: tuple[str, str] | None
) -> None:
    way = arranged("C=0003 | F=2010", meter)
    assert view(way).beats == beats


def test_a_chart_says_key_metre_and_tempo(arranged: Arranged) -> None:
    way = arranged("Bb=3211 | Eb=0331", (3, 4), 90, key="Bb")
    key, meter, pace = view(way, 90).facts.split(" · ")
    assert (key, meter) == ("B♭ major", "3/4") and "90" in pace


def test_a_hold_stands_at_the_chord_that_sounds_under_it(arranged: Arranged) -> None:
    way = arranged("C=0003 F:2=2010 | C=0003")
    first, second = way.tune.bars
    for place, held in ((0, [True, False]), (Fraction(3, 2), [True, False]),
                        (2, [False, True]), (Fraction(7, 2), [False, True])):  # fmt: skip
        bar = replace(first, fermatas=(Fraction(place),))
        tune = replace(way.tune, sections=(Section("A", (bar, second)),))
        one, two = chart.view_bars(replace(way, tune=tune), Figures(Styles()))
        assert [each.held for each in one.cells] == held and not two.cells[0].held


def test_what_a_box_sounds_is_told_with_what_it_lacks(arranged: Arranged) -> None:
    """On g4 C4 E4 A4: 0-0-0-3 is G C E C; 0-1-0-0 is G C# E A; 0-1-0-2 is G C# E B (by hand)."""
    way = arranged("C=0003 NC:2 | A7=0100 A9:2=0102")
    one, two = chart.view_bars(way, Figures(Styles()))
    c, silent = one.cells
    assert (c.name, c.digits) == ("C", "0-0-0-3") and c.alt.startswith("the shape 0-0-0-3: G")
    assert (silent.name, silent.digits, silent.alt, silent.symbol) == ("N.C.", "", "", None)
    a7, a9 = two.cells
    assert (a7.name, a9.name) == ("A7", "A9")
    # C#, E, G and B: the shape of A9 is without its root, and says so.
    assert "without its root" in a9.alt and "without" not in a7.alt
    assert a9.alt.index("without its root") < a9.alt.index("; fingers: ")


def test_a_shape_that_is_held_on_says_nothing_of_fingers(arranged: Arranged) -> None:
    way = arranged("C=0003 | C=0003 | F=2010 | NC | G7=0212")
    alts = [bar.cells[0].alt for bar in chart.view_bars(way, Figures(Styles()))]
    assert ["; fingers: " in alt for alt in alts][:3] == [False, False, True]


def test_beats_within_a_bar_are_counted_where_they_fall(arranged: Arranged) -> None:
    """The strokes of a bar and its chords on beats are its beats (by hand)."""
    for text, meter, strokes in (
        ("C=0003 F:5/2=2010", (4, 4), [2, 1]), ("C=0003 F:1=2010 C:3=0003", (4, 4), [0, 1, 0]),
        ("C=0003 F:1/2=2010", (4, 4), [0, 3]), ("C=0003", (5, 4), [4]), ("C=0003", (9, 8), [2]),
        ("C=0003 F:3=2010", (9, 8), [1, 0]),
    ):  # fmt: skip
        (bar,) = chart.view_bars(arranged(text, meter), Figures(Styles()))
        assert [one.slashes for one in bar.cells] == strokes, text


def test_rounds_of_a_hard_change_are_two_bars_and_four_of_the_tune(arranged: Arranged) -> None:
    """From an open chord to one high up: named with the bars that are played round."""
    way = arranged("C=0003 | F=2010 | C=0003 | C#=10-8-9-8 | C=0003 | F=2010", tempo=200)
    hard = [one for one in view(way, 200).rounds if one[0].startswith("hard change")]
    assert [last - first + 1 for _, first, last in hard] == [2, 4]
    for name, first, last in hard:
        assert 0 <= first <= 3 <= last < 6
        between = "and" if last == first + 1 else "to"
        assert name == f"hard change, bars {first + 1} {between} {last + 1}"
    # In a tune of three bars there are no four.
    short = arranged("C=0003 | C#=10-8-9-8 | C=0003", tempo=200)
    spans = [last - first + 1 for name, first, last in view(short, 200).rounds if "hard" in name]
    assert spans == [2]
    assert not [one for one in view(arranged("C=0003 | C=0003")).rounds if "hard" in one[0]]


def test_a_chord_that_is_added_is_marked(arranged: Arranged) -> None:
    way = arranged("C=0003 | Dm=2210")
    steps = (way.steps[0], replace(way.steps[1], written=Chord.parse("F"), move="x"))
    cells = [bar.cells[0] for bar in
             chart.view_bars(replace(way, steps=steps), Figures(Styles()))]  # fmt: skip
    assert [one.added for one in cells] == [False, True] and [one.step for one in cells] == [0, 1]
