"""Where everything of a part stands on its half, read from the drawing by geometry alone.

How a chart is read is common practice, no source: beats at equal distances, flush left; a thick
line outside a repeat and two dots inside it; a higher note higher; a fret number on its string.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

import pytest

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Box, Path, Text
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.parts import BASS, ONE, RICH, SING, TWO, USUAL, parts_of
from harmonykit.lesson.together.sheet import draw_parts
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
WIDE, HIGH = 174, 127
REPEATED = "|: C | Am D7 |1. F | G7 :|2. G7 | N.C. C |"
# The third of G7 rises to C, once: the only leading tone; from G3 to G4.
SUNG = """format = 1
title = "Nets"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| {1 quarter} N.C. | C | G7 | C | F G7 | C |"
melody = "| G3:1 | C4:1 E4:1 G4:2 | D4:2 B3:2 | C4:4 | A3:2 G3:2 | C4:4 |"
words = ["| We | mend the nets | be- fore | tea | and row | home |"]
"""
OF_EACH = {
    ONE: (["C", "Am", "D7", "F", "G7", "G7", "N.C.", "C"], 1),
    TWO: (["C", "Am", "D7", "F", "G7", "G7", "N.C.", "C"], 2),
    USUAL: (["C", "Am", "D7", "F", "G7", "G7", "N.C.", "C"], 0),
    RICH: (["C6", "Am7", "D9", "F6", "G9", "G9", "N.C.", "C6"], 0),
    BASS: (["C", "Am", "D7", "F", "G7", "G7", "N.C.", "C"], 3),
    SING: (["C", "Am", "D7", "F", "G7", "G7", "N.C.", "C"], 0),
}


class Half:
    """Half a page, read."""

    def __init__(self, drawing: Drawing) -> None:
        self.drawing = drawing
        self.texts = [text for text in drawing.sheet.all(Text) if text.text]
        paths = drawing.sheet.all(Path)
        self.dots = [path.box for path in paths if path.fill == "ink"]
        self.rings = [path.box for path in paths if path.stroke and path.outline[1][0] == "C"]
        self.covers = [path.box for path in paths if path.fill == "paper"]
        strokes = [
            (stroke[0], stroke[-1], path.width)
            for path in paths
            if path.stroke and path.outline[1][0] == "L"
            for stroke in path.strokes()
        ]
        self.level = [s for s in strokes if s[0][1] == s[1][1]]
        self.upright = [s for s in strokes if s[0][0] == s[1][0]]
        self.slanted = [s for s in strokes if s not in self.level and s not in self.upright]

    def bars(self) -> list[Box]:
        """Return the bars, row by row: each stands between two thin lines that are equally high."""
        lines = {(round(a[0], 6), a[1], b[1]) for a, b, wide in self.upright if wide == 0.3}
        high = max(bottom - top for _, top, bottom in lines)
        edges = sorted(
            (top, x, bottom) for x, top, bottom in lines if abs(bottom - top - high) < 1e-6
        )
        # The thin line of the end stands just before the thick one, which ends the bar.
        ends = [e for e in edges if not any(e[0] == o[0] and 0 < o[1] - e[1] < 2 for o in edges)]
        ends = [
            max(e, *((t, x, d) for x, t, d in self._thick() if t == e[0] and 0 < x - e[1] < 1.1), e)
            for e in ends
        ]
        return [
            Box(x, top, end, bottom)
            for (top, x, bottom), (below, end, _) in pairwise(ends)
            if top == below
        ]

    def _thick(self) -> list[tuple[float, float, float]]:
        return [(a[0], a[1], b[1]) for a, b, wide in self.upright if wide > 0.9]

    def within(self, bar: Box) -> list[Text]:
        return [
            t
            for t in self.texts
            if bar.left < t.x < bar.right and bar.top < t.box.middle[1] < bar.bottom
        ]

    def over(self, bar: Box) -> list[Text]:
        """Return what stands on the line above a bar, from left to right."""
        near = [
            t for t in self.texts if bar.left < t.x < bar.right and 0 < bar.top - t.baseline < 2
        ]
        return sorted(near, key=lambda text: text.x)

    def slashes(self, bar: Box) -> list[tuple[float, float]]:
        return [
            a
            for a, b, _ in self.slanted
            if bar.left < a[0] < bar.right and bar.top < b[1] < a[1] < bar.bottom
        ]


@pytest.fixture(scope="module")
def halves() -> dict[str, Half]:
    tune = Tune.parse(REPEATED)
    parts = parts_of(tune, UKULELE)
    return {p.name: Half(d) for p, d in zip(parts, draw_parts(tune, parts), strict=True)}


@pytest.fixture(scope="module")
def sung() -> Half:
    tune = Tune.parse(SUNG)
    parts = parts_of(tune, UKULELE)
    return Half(draw_parts(tune, parts)[-1])


def _names(half: Half, bar: Box, known: list[str], grips: bool) -> list[Text]:
    every = [*half.within(bar), *half.over(bar)] if grips else half.over(bar)
    return sorted((t for t in every if t.text in known), key=lambda text: text.x)


def _ink(text: Text) -> Box:
    """Return where the capitals of a text stand: seven tenths of its em above the baseline."""
    box, em = text.box, text.size * 25.4 / 72
    return Box(box.left, text.baseline - 0.7 * em, box.right, text.baseline)


def _touch(one: Box, other: Box) -> bool:
    across = min(one.right, other.right) - max(one.left, other.left)
    down = min(one.bottom, other.bottom) - max(one.top, other.top)
    return across > 0.01 and down > 0.01


@pytest.mark.parametrize("name", OF_EACH)
def test_all_stands_on_the_half_and_nothing_touches(halves: dict[str, Half], name: str) -> None:
    half = halves[name]
    for text in half.texts:
        box = _ink(text)
        assert box.left >= 0 and box.right <= WIDE + 0.01 and box.top > 0 and box.bottom < HIGH
    for one, other in combinations(half.texts, 2):
        assert not _touch(_ink(one), _ink(other)), (one.text, other.text)
    for text in half.texts:
        for a, b, _ in half.upright:
            assert not _touch(
                _ink(text), Box(a[0] - 0.1, min(a[1], b[1]), a[0] + 0.1, max(a[1], b[1]))
            )
        for dot in half.dots:
            assert not _touch(_ink(text), dot)
    assert max(path.points[-1][0] for path in half.drawing.sheet.all(Path)) <= WIDE


@pytest.mark.parametrize("name", OF_EACH)
def test_bars_stand_in_columns_and_a_second_ending_under_the_first(
    halves: dict[str, Half], name: str
) -> None:
    half = halves[name]
    bars = half.bars()
    assert len(bars) == 6
    assert [bar.left for bar in bars[4:]] == [bar.left for bar in bars[2:4]]
    assert {round(bar.width, 3) for bar in bars} == {round(bars[0].width, 3)}
    assert len({bar.top for bar in bars[:4]}) == len({bar.top for bar in bars[4:]}) == 1
    assert 162 > 4 * bars[0].width > 158 and bars[3].right > 172
    # The head ends at 17; an ending and its number stand between it and the first row.
    assert bars[0].top == 26 and bars[4].top - bars[0].bottom > 8.4
    numbers = [half.over(bar)[0] for bar in bars]
    assert [text.text for text in numbers] == list("123456")
    assert {round(t.x - b.left, 3) for t, b in zip(numbers, bars, strict=True)} == {0.8}


@pytest.mark.parametrize("name", OF_EACH)
def test_beats_are_equally_far_apart_and_each_has_a_name_or_a_stroke(
    halves: dict[str, Half], name: str
) -> None:
    half, (wanted, strings) = halves[name], OF_EACH[name]
    told, grips = [], name in (USUAL, RICH)
    for bar in half.bars():
        names = _names(half, bar, wanted, grips)
        told += [text.text for text in names]
        strokes = [x for x, _ in half.slashes(bar)]
        first = bar.left + 2.5
        beat = (bar.right - 1 - first) / 4
        begun = [2 * n for n in range(len(names))]
        covered = set(begun)
        for at, text in zip(begun, names, strict=True):
            late = 0 if grips or at else 5
            assert text.x == pytest.approx(first + at * beat + late)
            assert text.anchor == "left" and text.weight == 600
            assert grips or text.size == 9.5
            if grips:
                end = text.box.right + 0.8
                covered |= {n for n in range(at, at + 4 // len(names)) if first + n * beat <= end}
                assert text.box.right <= first + (at + 4 // len(names)) * beat
        assert strokes == pytest.approx([first + n * beat for n in range(4) if n not in covered])
        for x, y in half.slashes(bar):
            ((low, high),) = [(a, b) for a, b, _ in half.slanted if a == (x, y)]
            assert (low[1] + high[1]) / 2 == pytest.approx((bar.top + bar.bottom) / 2)
            assert 1 < high[0] - low[0] < low[1] - high[1] < 4
    assert told == wanted
    lines = [s for s in half.level if s[2] == 0.2]
    assert len(lines) == 2 * strings


@pytest.mark.parametrize("name", OF_EACH)
def test_repeats_endings_and_the_end_have_their_lines(halves: dict[str, Half], name: str) -> None:
    half = halves[name]
    bars = half.bars()
    opened, closed, last = half._thick()
    assert opened == pytest.approx((bars[0].left - 1.12, bars[0].top, bars[0].bottom))
    assert closed == pytest.approx((bars[3].right + 1.12, bars[3].top, bars[3].bottom))
    assert last == pytest.approx((bars[5].right, bars[5].top, bars[5].bottom))
    before = [
        a[0]
        for a, b, wide in half.upright
        if wide == 0.3 and bars[5].right - 2 < a[0] < bars[5].right and a[1] == bars[5].top
    ]
    assert before == pytest.approx([bars[5].right - 1])
    assert len(half.dots) == 4
    for bar, side, dots in (
        (bars[0], bars[0].left, half.dots[:2]),
        (bars[3], bars[3].right, half.dots[2:]),
    ):
        way = 1 if side == bar.left else -1
        middle = (bar.top + bar.bottom) / 2
        assert [dot.middle[1] - middle for dot in dots] == pytest.approx([-1.6, 1.6])
        assert all(
            0.5 < way * (dot.middle[0] - side) < 2 and dot.width == pytest.approx(0.9)
            for dot in dots
        )
    brackets = [s for s in half.level if s[2] == 0.3]
    assert [(a[0], b[0]) for a, b, _ in brackets] == [
        pytest.approx((bar.left, bar.right - gap))
        for bar, gap in zip(bars[2:], (0, 0.6, 0, 0.6), strict=True)
    ]
    assert (
        len({round(bar.top - a[1], 6) for bar, (a, _, _) in zip(bars[2:], brackets, strict=True)})
        == 1
    )
    hooks = [(a[0], a[1], b[1]) for a, b, _ in half.upright if abs(b[1] - a[1]) < 5]
    up = brackets[0][0][1], brackets[2][0][1]
    assert hooks == [
        pytest.approx(one)
        for one in (
            (bars[2].left, up[0], up[0] + 3.4), (bars[3].right - 0.6, up[0], up[0] + 3.4),
            (bars[4].left, up[1], up[1] + 3.4), (bars[5].right - 0.6, up[1], up[1] + 3.4),
        )
    ]  # fmt: skip
    assert all(up[0] + 3.4 < text.box.top + 1 for text in half.over(bars[2]))
    for number, bar, top in (("1.", bars[2], up[0]), ("2.", bars[4], up[1])):
        (text,) = [text for text in half.texts if text.text == number]
        assert 0.5 < text.x - bar.left < 2 and top < _ink(text).top and text.baseline <= top + 3.4
        assert text.weight == 600


def test_fret_numbers_stand_on_their_strings_and_fifths_in_the_middle_of_a_bar(
    halves: dict[str, Half],
) -> None:
    """Of C the bass has C on string A at fret 3, then G on string E at fret 3; of D7 the open D."""
    half = halves[BASS]
    first, second, third = half.bars()[:3]
    rows = sorted(a[1] for a, _, wide in half.level if wide == 0.2)
    assert [b - a for a, b in pairwise(rows[:3])] == pytest.approx([4.2, 4.2])
    labels = [t for t in half.texts if t.text in "DAE" and t.x < first.left]
    assert [t.text for t in labels] == ["D", "A", "E"]
    assert [t.box.top < y < t.baseline for t, y in zip(labels, rows, strict=False)] == [True] * 3
    assert all(5 < first.left - t.x < 6 for t in labels)
    beat = (first.width - 3.5) / 4

    def at(bar: Box) -> list[tuple[str, int, float]]:
        return [
            (
                t.text,
                min(range(3), key=lambda n: abs(rows[n] - _ink(t).middle[1])),
                round((t.x - bar.left - 2.5) / beat, 3),
            )
            for t in half.within(bar)
        ]

    assert at(first) == [("3", 1, 0), ("3", 2, 2)]
    assert at(second) == [("0", 1, 0), ("0", 0, 2)]
    assert at(third) == [("1", 2, 0), ("3", 1, 2)]
    figures = [t for bar in half.bars() for t in half.within(bar)]
    assert len(half.covers) == len(figures)
    for text, cover in zip(figures, half.covers, strict=True):
        ink = _ink(text)
        assert cover.left < ink.left < ink.right < cover.right
        assert cover.top < ink.top and ink.bottom < cover.bottom and cover.width < 4
        assert min(abs(row - cover.middle[1]) for row in rows) < 0.01


def test_a_grip_is_told_over_its_first_bar_and_a_rescue_under_every_one(
    halves: dict[str, Half],
) -> None:
    half = halves[USUAL]
    bars = half.bars()
    told = [text.text for bar in bars for text in half.over(bar)[1:]]
    assert told == ["0-0-0-3", "2-0-0-0", "2-2-2-3", "2-0-1-0", "0-2-1-2"]
    (rescue,) = [text for text in half.texts if text.text == "2-0-2-0"]
    (word,) = [text for text in half.texts if text.text == "or"]
    hard = next(text for text in half.texts if text.text == "D7")
    assert rescue.x == hard.x and bars[1].bottom < _ink(rescue).top < bars[1].bottom + 2
    assert word.baseline == rescue.baseline and 0 < bars[0].left - word.box.right < 3
    high = next(t for t in half.over(bars[1]) if t.text == "2-2-2-3")
    assert high.x == hard.x
    low = next(t for t in half.over(bars[1]) if t.text == "2-0-0-0")
    assert low.x == pytest.approx(bars[1].left + 7.5)


def test_the_head_says_who_plays_what(halves: dict[str, Half]) -> None:
    said = {
        name: [(t.text, t.x, t.baseline, t.anchor) for t in half.texts[:4] if t.baseline < 17]
        for name, half in halves.items()
    }
    for number, name in enumerate(OF_EACH, 1):
        title, about, part, *_ = said[name]
        assert title == (name, 0, 7, "left") and part == (f"part {number} of 6", WIDE, 7, "right")
        assert about[0].startswith("Untitled · ") and about[1:] == (0, 13.5, "left")
    wheres = [rows[3][0] if len(rows) > 3 else "" for rows in said.values()]
    assert wheres == [
        "ukulele, string A", "ukulele, strings E A", "ukulele", "ukulele",
        "bass guitar, strings E A D", "",
    ]  # fmt: skip
    alts = [half.drawing.alt for half in halves.values()]
    assert (
        alts[2]
        == "Usual grips of Untitled: C 0-0-0-3, Am 2-0-0-0, D7 2-2-2-3, F 2-0-1-0, G7 0-2-1-2"
    )
    assert all(alt.count(",") == 4 for alt in alts)


def _sung_notes(half: Half) -> Iterator[Text]:
    for row in sorted({bar.top for bar in half.bars()}):
        here = [t for t in half.texts if t.size == 10 and row < t.baseline < row + 11]
        yield from sorted(here, key=lambda text: text.x)


def test_a_higher_note_stands_higher_and_a_word_under_its_note(sung: Half) -> None:
    notes = {"C": 60, "E": 64, "G": 67, "D": 62, "B": 59, "A": 57}
    found = list(_sung_notes(sung))
    assert [text.text for text in found] == list("GCEGDBCAGC")
    midi = [notes[text.text] - 12 * (place in (0, 8)) for place, text in enumerate(found)]
    row = sung.bars()[0]
    here = [
        (n, t.baseline) for n, t in zip(midi, found, strict=True) if t.baseline < row.bottom + 1
    ]
    low, high = (next(y for n, y in here if n == want) for want in (55, 67))
    assert low - high == pytest.approx(6)
    assert all(y == pytest.approx(low - (n - 55) / 12 * 6) for n, y in here)
    words = [
        t
        for t in sung.texts
        if t.text in {"We", "mend", "the", "nets", "be-", "fore", "tea", "and", "row", "home"}
    ]
    assert [t.text for t in words] == [
        "We",
        "mend",
        "the",
        "nets",
        "be-",
        "fore",
        "tea",
        "and",
        "row",
        "home",
    ]
    for word, note in zip(words, found, strict=True):
        assert (
            0 <= word.x - note.x < 5
            and 2
            < word.baseline
            - (row.bottom if word.baseline < row.bottom + 8 else sung.bars()[-1].bottom)
            < 6
        )


def test_a_ring_is_about_the_leading_tone_that_rises_and_no_other_note(sung: Half) -> None:
    (ring,) = sung.rings
    (b,) = [text for text in _sung_notes(sung) if text.text == "B"]
    assert ring.width == pytest.approx(ring.height) and 4 < ring.width < 5.5
    ink = _ink(b)
    assert ring.left < ink.left < ink.right < ring.right
    assert ring.middle[1] == pytest.approx(ink.middle[1], abs=0.3)


def test_a_pick_up_is_as_short_as_it_lasts_and_stands_before_the_first_bar(sung: Half) -> None:
    """One quarter of four: what stands in it stands before bar 1, and no bar line opens it."""
    bars = sung.bars()
    first, *_ = starts = [bar.left for bar in bars[:4]]
    assert [b - a for a, b in pairwise(starts)] == pytest.approx([bars[0].width] * 3)
    lead = [t for t in sung.texts if t.x < first and t.baseline > 17]
    assert sorted(t.text for t in lead) == ["G", "We"]
    assert first == pytest.approx(12 + bars[0].width / 4)
    assert {round(t.x, 6) for t in lead} == {14.5}


# Two sections, the first played again at the end; six bars of it take two rows; a short last bar.
FORM = """format = 1
title = "Tide"
key = "C"
meter = "3/4"
form = ["A", "B", "A"]
[[sections]]
name = "A"
changes = "| C | F | G7 | C | C6 | F |"
[[sections]]
name = "B"
changes = "| N.C. | Am D7 G7 | {1 quarter} G7 |"
"""
JUMPS = """format = 1
title = "Ebb"
key = "C"
meter = "4/4"
[[sections]]
name = "A"
changes = "| {1 quarter} N.C. |: {segno} C | F :| {fine} C | G7 {D.S. al fine} |"
"""


@pytest.fixture(scope="module")
def form() -> dict[str, Half]:
    tune = Tune.parse(FORM)
    parts = parts_of(tune, UKULELE)
    return {p.name: Half(d) for p, d in zip(parts, draw_parts(tune, parts), strict=True)}


@pytest.mark.parametrize("name", OF_EACH)
def test_a_section_begins_a_row_with_its_letter_in_the_margin(
    form: dict[str, Half], name: str
) -> None:
    half = form[name]
    bars = half.bars()
    assert len(bars) == 9
    tops = sorted({bar.top for bar in bars})
    assert [sum(bar.top == top for bar in bars) for top in tops] == [4, 2, 3]
    # Rows are as far apart as each other, and never further than 23 mm.
    assert tops[0] == 26
    assert [b - a for a, b in pairwise(tops)] == pytest.approx([23, 23])
    letters = [t for t in half.texts if t.x == 0 and t.baseline > 17]
    assert [t.text for t in letters] == ["A", "B"]
    for letter, bar in zip(letters, (bars[0], bars[6]), strict=True):
        assert bar.top < _ink(letter).middle[1] < bar.bottom
        assert _ink(letter).middle[1] == pytest.approx((bar.top + bar.bottom) / 2, abs=0.5)
        assert letter.anchor == "left" and letter.weight == 600
        assert letter.box.right < bar.left - 5.5
    numbers = [half.over(bar)[0].text for bar in bars]
    assert numbers == ["1 · 10", "2 · 11", "3 · 12", "4 · 13", "5 · 14", "6 · 15", "7", "8", "9"]
    # One quarter of three: a third as wide, and the end's thick line stands at its own end.
    assert bars[8].width == pytest.approx(bars[0].width / 3)
    ((right, top, bottom),) = half._thick()
    assert (right, top, bottom) == pytest.approx((bars[8].right, bars[8].top, bars[8].bottom))
    assert not half.dots
    for one, other in combinations(half.texts, 2):
        assert not _touch(_ink(one), _ink(other)), (one.text, other.text)


def test_the_head_says_in_what_order_sections_are_played(
    form: dict[str, Half], halves: dict[str, Half]
) -> None:
    where = {
        name: next((t.text for t in half.texts if t.anchor == "right" and t.baseline == 13.5), "")
        for name, half in form.items()
    }
    assert where == {
        ONE: "ukulele, string A · play A B A", TWO: "ukulele, strings E A · play A B A",
        USUAL: "ukulele · play A B A", RICH: "ukulele · play A B A",
        BASS: "bass guitar, strings E A D · play A B A", SING: "play A B A",
    }  # fmt: skip
    assert not any("play" in t.text for half in halves.values() for t in half.texts)


def test_three_beats_have_no_middle_for_a_fifth(form: dict[str, Half]) -> None:
    """A bass plays a fifth at the middle of a bar that has one: not of three beats."""
    half = form[BASS]
    bars = half.bars()
    figures = [[t.text for t in half.within(bar)] for bar in bars]
    # C at fret 3 of string A, F at fret 1 and G at fret 3 of E; Am and D7 open; silence has none.
    assert figures == [["3"], ["1"], ["3"], ["3"], ["3"], ["1"], [], ["0", "0", "3"], ["3"]]
    names = [[t.text for t in half.over(bar)[1:]] for bar in bars]
    assert names[6:] == [["N.C."], ["Am", "D7", "G7"], ["G7"]]


def test_a_name_stands_behind_the_numbers_of_its_bar(form: dict[str, Half]) -> None:
    for bar in form[ONE].bars():
        number, name, *rest = form[ONE].over(bar)
        gap = name.x - number.box.right
        assert 1 < gap < 8 and number.x == pytest.approx(bar.left + 0.8)
        # Only the first name is shifted: the others stand on their beats.
        beat = (bar.width - 3.5) / 3
        for n, other in enumerate(rest, 1):
            assert other.x == pytest.approx(bar.left + 2.5 + n * beat)


def test_segno_stands_over_the_start_of_its_bar_and_jumps_over_the_end() -> None:
    tune = Tune.parse(JUMPS)
    parts = parts_of(tune, UKULELE)
    for part, drawing in zip(parts, draw_parts(tune, parts), strict=True):
        half = Half(drawing)
        bars = half.bars()
        assert len(bars) == 4
        said = [t for t in half.texts if t.text in ("segno", "fine", "D.S. al fine")]
        assert [t.text for t in said] == ["segno", "fine", "D.S. al fine"]
        for text, bar in zip(said, (bars[0], bars[2], bars[3]), strict=True):
            assert text.baseline == half.over(bar)[0].baseline
        number = half.over(bars[0])[0]
        assert said[0].anchor == "left" and 1 < said[0].box.left - number.box.right < 2
        for text, bar in zip(said[1:], bars[2:], strict=True):
            assert text.anchor == "right" and text.x == pytest.approx(bar.right - 1)
        # A silence before bar 1 is no N.C., and has no bar line at its start nor a number.
        assert not any(t.text == "N.C." for t in half.texts), part.name
        assert [half.over(bar)[0].text for bar in bars] == ["1", "2", "3", "4"]
        lead = [a for a, b, wide in half.upright if wide == 0.3 and a[0] < bars[0].left - 0.1]
        assert not lead
        assert bars[0].left == pytest.approx(12 + bars[0].width / 4)
        assert len(half.dots) == 4


def test_rows_of_many_bars_share_the_height_of_a_half() -> None:
    """Six rows under a head of 26 mm: 127 less 26 by six; all stands on the half."""
    tune = Tune.parse("| C | Am7 | Dm7 | G7 |\n" * 6)
    parts = parts_of(tune, UKULELE)
    found = {p.name: Half(d) for p, d in zip(parts, draw_parts(tune, parts), strict=False)}
    for half in found.values():
        tops = sorted({bar.top for bar in half.bars()})
        if len(tops) == 6:
            assert [b - a for a, b in pairwise(tops)] == pytest.approx([101 / 6] * 5)
        assert max(text.baseline for text in half.texts) < HIGH
    assert len({bar.top for bar in found[ONE].bars()}) == 6


@pytest.mark.parametrize("bar", ["C F G7 Am", "Cm Fm Gm Bbm", "C . F Am", "C F . Am"])
@pytest.mark.parametrize("name", OF_EACH)
def test_a_bar_may_have_a_chord_on_every_beat(bar: str, name: str) -> None:
    tune = Tune.parse(f"| {bar} | {bar} | C | C |")
    (part,) = [part for part in parts_of(tune, UKULELE) if part.name == name]
    (drawing,) = draw_parts(tune, [part])
    half = Half(drawing)
    first, second = half.bars()[:2]
    for one, other in combinations([*half.over(first), *half.within(first)], 2):
        assert not _touch(_ink(one), _ink(other)), (one.text, other.text)
    assert all(text.box.right < first.right + 0.1 for text in half.over(first))
    # Grips are told once, in the order of the chords, none before its name.
    if name in (USUAL, RICH):
        told, names = half.over(first)[1:], half.within(first)
        assert len(told) == len(names) == len(bar.replace(".", "").split())
        assert all(t.x >= n.x - 2 for t, n in zip(told, names, strict=True))
        assert len(half.over(second)) == 1
