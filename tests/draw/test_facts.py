"""Facts beside a figure: columns, lines and the middle, worked by hand in mm."""

from __future__ import annotations

from itertools import pairwise

import pytest
from lawful import ink, lawful

from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.facts import Fact, Facts, draw_facts
from harmonykit.draw.sets.clock import draw_clock
from harmonykit.draw.shapes.looks import draw_tuning
from harmonykit.draw.tree import Group, Mark, Sheet, Text
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

POSTS = draw_tuning(Instrument.named("ukulele"))
CLOCK = draw_clock(Chord.parse("D7"), title="")
ROWS = (
    Fact(("1", "D", "the root"), "root"),
    Fact(("♭7", "C", "the flat seventh"), "seventh"),
    Fact(("5", "A", "the fifth"), "fifth"),
)


def drawn(figure: Drawing, *rows: Fact, below: str = "D seven") -> Sheet:
    made = draw_facts(figure, Facts("D7", below, rows), "facts")
    lawful(made, (11.5, 11.5, 152, 11.5))
    return made.sheet


def spots(sheet: Sheet) -> dict[str, Text]:
    inside = {text.text: text for group in sheet.all(Group) for text in sheet.all(Text)}
    return {text.text: text for text in sheet.parts if isinstance(text, Text)} or inside


def test_facts_stand_beside_the_figure_at_one_left_edge() -> None:
    sheet = drawn(CLOCK, *ROWS)
    at = spots(sheet)
    # 3 mm at the side, the clock, and 8 mm between.
    assert at["D7"].box.left == pytest.approx(3 + CLOCK.width_mm + 8)
    assert at["D seven"].box.left == at["D7"].box.left
    assert sheet.width == 152
    marks = [part for part in sheet.parts if isinstance(part, Mark)]
    assert [mark.role for mark in marks] == ["root", "seventh", "fifth"]
    assert all(mark.x - mark.d / 2 == pytest.approx(at["D7"].box.left) for mark in marks)
    assert all(4 < mark.d < 5.2 for mark in marks)
    for mark, fact in zip(marks, ROWS, strict=True):
        middle = ink(at[fact.texts[0]]).middle[1]
        assert mark.y == pytest.approx(middle, abs=0.2)
        assert 1.5 < at[fact.texts[0]].box.left - (mark.x + mark.d / 2) < 3.5


def test_columns_are_as_wide_as_their_widest_text_and_4_mm_apart() -> None:
    at = spots(drawn(CLOCK, *ROWS))
    for place in range(3):
        assert len({at[row.texts[place]].box.left for row in ROWS}) == 1
    wide = [max(at[row.texts[p]].box.width for row in ROWS) for p in range(2)]
    starts = [at[ROWS[0].texts[p]].box.left for p in range(3)]
    assert starts[1] - starts[0] == pytest.approx(wide[0] + 4)
    assert starts[2] - starts[1] == pytest.approx(wide[1] + 4)
    # What leads is bold, what explains is soft.
    assert [at[t].weight for t in ROWS[1].texts] == [600, 400, 400]
    assert [at[t].colour for t in ROWS[1].texts] == ["ink", "ink", "soft"]


def test_rows_are_evenly_spaced_below_the_heading() -> None:
    at = spots(drawn(CLOCK, *ROWS))
    lines = [at[row.texts[0]].baseline for row in ROWS]
    steps = {round(b - a, 6) for a, b in pairwise(lines)}
    assert len(steps) == 1 and 5.5 < steps.pop() < 8
    assert 4 < at["D seven"].baseline - at["D7"].baseline < 6.5
    assert 5.5 < lines[0] - at["D seven"].baseline < 9


def test_facts_stand_level_with_the_figures_middle() -> None:
    for figure in (POSTS, CLOCK):
        for rows in ((), ROWS[:1], ROWS):
            sheet = drawn(figure, *rows)
            assert sheet.height >= figure.height_mm + 6 - 1e-9
            (group,) = [p for p in sheet.parts if isinstance(p, Group) and p.role == "drawing"]
            texts = [part for part in sheet.parts if isinstance(part, Text)]
            top, bottom = min(ink(t).top for t in texts), max(t.baseline for t in texts)
            # The middle of the text's own block, a heading's height above its first baseline.
            assert (top + bottom) / 2 == pytest.approx(sheet.height / 2, abs=1.2)
            first = figure.sheet.parts[0].box
            assert group.parts[0].box.left - first.left == pytest.approx(3)
            middle = sheet.height / 2 - figure.height_mm / 2
            assert group.parts[0].box.top - first.top == pytest.approx(middle)


def test_what_is_too_long_goes_on_nearer_below_in_its_column() -> None:
    long = "a word and another word " * 4
    sheet = drawn(CLOCK, Fact(("note", long)), Fact(("next", "one")))
    texts = [t for t in sheet.parts if isinstance(t, Text)]
    broken = [t for t in texts if t.text and t.text in long]
    assert len(broken) > 1 and len({t.box.left for t in broken}) == 1
    assert max(t.box.right for t in broken) <= 149
    assert {round(b.baseline - a.baseline, 3) for a, b in pairwise(broken)} == {4.8}
    at = spots(sheet)
    assert at["next"].baseline - broken[-1].baseline > 5.5
    # No word more would have gone into the line before.
    for one, other in pairwise(broken):
        word = other.text.split()[0]
        assert one.box.right + text_width(f" {word}", one.size) > 149


def test_rows_without_marks_begin_at_the_edge() -> None:
    at = spots(drawn(CLOCK, Fact(("note", "D")), Fact(("octave", "4"))))
    assert at["note"].box.left == at["D7"].box.left == at["octave"].box.left
    bare = drawn(POSTS, below="")
    assert "D7" in bare.texts


def test_a_long_heading_is_broken_too() -> None:
    heading = "A heading of very many words that go on and on and on"
    made = draw_facts(CLOCK, Facts(heading, "below " * 20, ()), "facts")
    lawful(made, (11.5, 11.5, 152, 11.5))
    heads = [t for t in made.sheet.all(Text) if t.size == 17]
    assert " ".join(t.text for t in heads) == heading and len(heads) > 1
    assert max(t.box.right for t in made.sheet.all(Text)) <= 149


def test_a_row_may_have_fewer_texts_than_others() -> None:
    sheet = drawn(CLOCK, Fact(("one",)), *ROWS, Fact(("two", "texts")))
    at = spots(sheet)
    assert at["one"].x == at["two"].x == at["1"].x and at["texts"].x == at["D"].x
    # Rows without marks begin where the words of the others do.
    (first, *_) = [part for part in sheet.parts if isinstance(part, Mark)]
    assert at["one"].x > first.x + first.d / 2


def test_what_stands_beside_the_figure_keeps_its_distances() -> None:
    """By hand: 6 mm from heading to heading, 5.2 below it, 7.4 to the rows, 6.6 between these."""
    at = spots(drawn(CLOCK, *ROWS))
    lines = [at[row.texts[0]].baseline for row in ROWS]
    assert at["D seven"].baseline - at["D7"].baseline == pytest.approx(5.2)
    assert lines[0] - at["D seven"].baseline == pytest.approx(7.4)
    assert [b - a for a, b in pairwise(lines)] == pytest.approx([6.6, 6.6])
    made = draw_facts(CLOCK, Facts("word " * 12, "", ()), "facts")
    heads = [t.baseline for t in made.sheet.all(Text) if t.size == 17]
    assert len(heads) > 1
    assert [b - a for a, b in pairwise(heads)] == pytest.approx([6.0] * (len(heads) - 1))
