"""The key and the sentences under plots: each sample beside its words, lines evenly below them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

import pytest
from lawful import ink, seen
from small_arrangements import _arranged
from survey_tables import surveyed

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.gains_and_costs import Tradeoff
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.plots.course import draw_courses
from harmonykit.draw.plots.distances import draw_distances
from harmonykit.draw.plots.leading import draw_leading
from harmonykit.draw.plots.scatter import Kind, Mark, draw_marks
from harmonykit.draw.plots.survey_open import draw_open_shapes
from harmonykit.draw.plots.tradeoffs import draw_tradeoffs
from harmonykit.draw.tree import Box, Path, Sheet, Text
from harmonykit.theory.chord import Chord

WIDTHS = (90.0, 152.0)
EM = 25.4 / 72
MOVES = (
    "to a chord as written",
    "to an added chord",
    "the least possible",
    "mean",
)
# What stands in each key.
WORDS = {
    "distances": MOVES,
    "leading": MOVES,
    "courses": ("a chord of the tune", "an added chord"),
    "tradeoffs": ("on the Pareto front", "beaten by another"),
    "open": ("a key", "the key in which the tune is written"),
    "marks": (
        "chosen from the Pareto front",
        "least sum of weights",
        "the tune as written",
        "also on the Pareto front",
        "the smallest in its column",
    ),
}


def way() -> Arrangement:
    """Return four bars, in the second of which B°7 is played where the tune has C6."""
    plain = _arranged("C6=0000 F:2=2010 | Bdim7=4545 C6:2=0000 | F=5-5-5-8 | C6=0000")
    steps = [
        replace(step, written=Chord.parse("C6")) if step.onset == 4 else step
        for step in plain.steps
    ]
    return replace(plain, steps=tuple(steps))


@lru_cache(maxsize=16)
def figure(name: str, width: float) -> Drawing:
    if name == "distances":
        return draw_distances([way()], width_mm=width)
    if name == "leading":
        return draw_leading(way(), width_mm=width)
    if name == "courses":
        return draw_courses([way()], width_mm=width)
    if name == "tradeoffs":
        each = [
            Tradeoff(style, f"{style} {n}", way(), 2.0 * n, 9.0 + n, 4.0 + n * n, "" if n else "x")
            for style in ("plain", "rich")
            for n in range(3)
        ]
        return draw_tradeoffs(each, width_mm=width)
    if name == "open":
        return draw_open_shapes(surveyed(), "Oarlock Reel 37", width_mm=width)
    kinds: tuple[Kind, ...] = ("disc", "square", "open", "dot")
    marks = [
        Mark((10 * n, 40 - 10 * n, n), "" if kind == "dot" else "ABCD"[n], f"number {n}", kind)
        for n, kind in enumerate(kinds)
    ]
    return draw_marks(marks, "marks", "marks", told=SENTENCES, width_mm=width)


SENTENCES = ("What is to be seen in these marks, of which there are four. " * 3, "And this.")
BOTH = pytest.mark.parametrize(("name", "width"), list(itertools.product(WORDS, WIDTHS)))


def said(sheet: Sheet, text: str) -> Text:
    """Return the words of the key: the lowest text of that wording in small soft type."""
    found = [t for t in sheet.all(Text) if t.text == text and (t.size, t.colour) == (8.0, "soft")]
    return max(found, key=lambda t: t.baseline)


def beside(sheet: Sheet, words: Text) -> list[Path | Text]:
    """Return what is drawn at the left of some words, as far as a sample may reach."""
    box = ink(words)
    near = Box(box.left - 4.65, box.middle[1] - 2.0, box.left - 0.01, box.middle[1] + 2.0)
    return [p for p in seen(sheet) if p is not words and _within(ink(p), near)]


def _within(one: Box, other: Box) -> bool:
    across = other.left <= one.left + 0.02 and one.right <= other.right + 0.02
    return across and other.top <= one.top + 0.02 and one.bottom <= other.bottom + 0.02


def _union(boxes: list[Box]) -> Box:
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return Box(min(lefts), min(tops), max(rights), max(bottoms))


@BOTH
def test_each_sample_stands_level_before_its_words_and_in_one_place(
    name: str, width: float
) -> None:
    sheet = figure(name, width).sheet
    for text in WORDS[name]:
        words = said(sheet, text)
        sample = beside(sheet, words)
        assert sample, text
        box = _union([ink(p) for p in sample])
        # Words follow 4.2 mm behind the place of a sample, whose middle is a third of that way.
        assert 0.35 < words.box.left - box.right < 3.0, text
        assert abs(words.box.left - 2.8 - box.middle[0]) < 0.42, text
        for part in sample:
            assert abs(ink(part).middle[1] - ink(words).middle[1]) < 0.06, text
            assert abs(ink(part).middle[0] - box.middle[0]) < 0.01, text


@BOTH
def test_what_is_drawn_looks_as_its_sample(name: str, width: float) -> None:
    """The same ink on the same paper, and no sample larger than what it stands for."""
    sheet = figure(name, width).sheet
    foot = min(ink(said(sheet, text)).top for text in WORDS[name]) - 1.5
    drawn = [p for p in sheet.all(Path) if ink(p).top < foot and (p.fill or p.stroke)]
    drawn = [p for p in drawn if not (p.fill == "paper" and not p.stroke)]
    looks = []
    for text in WORDS[name]:
        sample = [p for p in beside(sheet, said(sheet, text)) if isinstance(p, Path)]
        looks.append(tuple((p.fill, p.stroke, p.dash, _letters(p), _steep(p)) for p in sample))
        for path in sample:
            alike = [
                p
                for p in drawn
                if p.fill == path.fill and p.dash == path.dash and _letters(p) == _letters(path)
                if (p.stroke == path.stroke and p.width == path.width) or name == "marks"
            ]
            sizes = [_size(p) for p in alike]
            assert sizes, text
            assert _size(path) <= max(sizes) * 1.001 and (
                _size(path) >= 0.45 * min(sizes) or _letters(path) == "ML"
            ), (text, _size(path), sizes)
    assert len(set(looks)) == len(looks)


def _letters(path: Path) -> str:
    return "".join(letter for letter, _ in path.outline)


def _steep(path: Path) -> bool:
    return path.box.width < path.box.height


def _size(path: Path) -> float:
    return max(path.box.width, path.box.height)


def _rows(sheet: Sheet, name: str) -> Iterator[list[Text]]:
    words = sorted((said(sheet, text) for text in WORDS[name]), key=lambda t: (t.baseline, t.x))
    for _, row in itertools.groupby(words, key=lambda t: round(t.baseline, 3)):
        yield [*row]


@BOTH
def test_the_key_fills_its_lines_in_order_and_entries_stand_apart(name: str, width: float) -> None:
    sheet = figure(name, width).sheet
    rows = [*_rows(sheet, name)]
    assert [t.text for row in rows for t in row] == [*WORDS[name]]
    # A millimetre at the edge, then the sample; 4 mm between an entry and the next.
    for row in rows:
        assert row[0].x == pytest.approx(1 + 4.2)
        for one, other in itertools.pairwise(row):
            assert other.x - 4.2 - one.box.right == pytest.approx(4.0, abs=0.01)
        assert row[-1].box.right <= sheet.width - 1
    for (*_, last), (first, *_) in itertools.pairwise(rows):
        assert last.box.right + 4.0 + 4.2 + first.box.width > sheet.width - 1
        assert first.baseline - last.baseline == pytest.approx(4.3)


@BOTH
def test_sentences_stand_below_the_key_in_even_lines_as_full_as_they_can_be(
    name: str, width: float
) -> None:
    sheet = figure(name, width).sheet
    *_, (last, *_) = _rows(sheet, name)
    lines = sorted(
        (t for t in sheet.all(Text) if t.baseline > last.baseline and t.size == 8.5),
        key=lambda t: t.baseline,
    )
    lines = [t for t in lines if t.x == 1.0 and t.anchor == "left"]
    assert lines and {(t.weight, t.colour) for t in lines} == {(400, "ink")}
    steps = [b.baseline - a.baseline for a, b in itertools.pairwise(lines)]
    assert steps == pytest.approx([4.3] * len(steps))
    # From the key to what is said a little more than from line to line.
    assert 4.4 < ink(lines[0]).middle[1] - ink(last).middle[1] < 5.5
    assert 3.0 < sheet.height - lines[-1].baseline < 4.8
    for line, after in itertools.pairwise(lines):
        assert line.box.right <= sheet.width - 1
        word = after.text.split()[0]
        ends = line.text.endswith((".", ":"))
        assert ends or text_width(f"{line.text} {word}", 8.5) > sheet.width - 2


@BOTH
def test_the_key_stands_close_under_what_it_is_the_key_of(name: str, width: float) -> None:
    sheet = figure(name, width).sheet
    (first, *_), *_ = _rows(sheet, name)
    top = min(ink(p).top for p in [first, *beside(sheet, first)])
    above = [ink(p).bottom for p in seen(sheet) if ink(p).bottom < top]
    # Over the key of a map stands its scale; a list ends with the air of a row.
    most = 7.0 if name in ("courses", "marks") else 4.2
    assert 2.5 < top - max(above) < most


def test_the_first_key_of_a_table_of_numbers_is_bold_as_the_least_are() -> None:
    sheet = figure("marks", 152.0).sheet
    (sample,) = beside(sheet, said(sheet, WORDS["marks"][-1]))
    assert isinstance(sample, Text) and (sample.text, sample.weight) == ("1", 600)
