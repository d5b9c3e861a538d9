"""A level as a chart: nothing touches, nothing runs off the page, beats stand where they fall."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.style import NAME_PT, SEMIBOLD, SMALL_PT
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.handout.chart import ROW_MM, allot, chart
from harmonykit.lesson.handout.figures import LARGE, Figures
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.bar import Bar, Meter
from harmonykit.tune.tune import Section, Tune

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
SHAPES = {
    UKULELE: ["0000", "1212", "9-9-8-10", "10-11-10-11", "2-2-1-3", "5-3-2-0"],
    GUITAR: ["x32010", "xx1212", "10-12-12-11-10-10", "x-5-7-6-7-5", "3x0001"],
}
NAMES = ["C6", "F#m7b5", "Bbm(maj7)", "C#dim7", "Dbmaj7#11", "G7b9/B"]
CHORD = st.sampled_from([Chord.parse(name) for name in NAMES])
Row = dict[str, Any]


def level(
    bars: list[list[tuple[Chord | None, str]]], neck: Instrument, meter: Meter
) -> Arrangement:
    """Return a tune whose bars share their chords equally, with the shapes given."""
    written, steps, onset = [], [], Fraction(0)
    whole = Fraction(4 * meter[0], meter[1])
    for index, bar in enumerate(bars):
        share = whole / len(bar)
        written.append(Bar.of(meter, [(c, share * i) for i, (c, _) in enumerate(bar)]))
        for chord, digits in bar:
            shape = Voicing.parse(digits, neck) if chord else None
            steps.append(Step(chord, shape, onset, share, index))
            onset += share
    tune = Tune("Tide", Key.parse("C"), meter, 120, (Section("A", tuple(written)),))
    return Arrangement(tune, neck, tuple(steps), 0, 120.0)


def rows_of(arrangement: Arrangement) -> tuple[list[Row], list[dict[str, Any]]]:
    figures = Figures()
    return chart(arrangement, figures), figures.table()


def spread(cell: Row, figures: list[dict[str, Any]]) -> tuple[float, float]:
    """Return how far a cell reaches at the height of its box and below."""
    told = text_width(cell["digits"], SMALL_PT) / 2 if cell["digits"] else 0.0
    left, right = cell["middle"] - told, cell["middle"] + told
    if "box" in cell:
        figure = figures[cell["box"]]
        half = (figure["wide"] - 2 * figure["left"]) / figure["scale"] / 2 + 1.6
        left, right = min(left, cell["middle"] - half), max(right, cell["middle"] + half)
    return left, right


def heads(cell: Row) -> list[tuple[float, float]]:
    """Return how far the name reaches, and each slash."""
    name = text_width(cell["name"], NAME_PT, SEMIBOLD)
    return [(cell["x"], cell["x"] + name), *((x - 0.9, x + 0.9) for x in cell["slashes"])]


def assert_apart(spans: list[tuple[float, float]], end: float) -> None:
    for (_, right), (left, _) in pairwise(spans):
        assert right < left
    assert spans[0][0] > 0 and spans[-1][1] < end


@settings(max_examples=40)
@given(st.data())
def test_nothing_touches_and_nothing_runs_off(data: st.DataObject) -> None:
    neck = data.draw(st.sampled_from([UKULELE, GUITAR]))
    cell = st.tuples(st.none() | CHORD, st.sampled_from(SHAPES[neck]))
    bars = data.draw(st.lists(st.lists(cell, min_size=1, max_size=9), min_size=1, max_size=9))
    large, boxes = data.draw(st.booleans()), data.draw(st.booleans())
    drawn = Figures(left_handed=data.draw(st.booleans()), large=large)
    rows = chart(level(bars, neck, (4, 4)), drawn, boxes=boxes)
    # What is set larger is laid out on a shorter row.
    scale = LARGE if large else 1.0
    figures = [figure | {"scale": scale} for figure in drawn.table()]
    for row in rows:
        assert row["wide"] <= ROW_MM / scale + 1e-6
        cells = [cell for bar in row["bars"] for cell in bar["cells"]]
        assert_apart([span for cell in cells for span in heads(cell)], row["wide"])
        assert_apart([spread(cell, figures) for cell in cells], row["wide"])
    printed = [cell["name"] for row in rows for bar in row["bars"] for cell in bar["cells"]]
    merged = [
        chord.unicode if chord else "N.C."
        for bar in bars
        for index, (chord, shape) in enumerate(bar)
        if index == 0
        or (chord, shape if chord else "")
        != (bar[index - 1][0], bar[index - 1][1] if chord else "")
    ]
    assert printed == merged


def test_four_equal_bars_a_row() -> None:
    rows, _ = rows_of(level([[(Chord.parse("C6"), "0000")]] * 6, UKULELE, (4, 4)))
    assert [[bar["x"] for bar in row["bars"]] for row in rows] == [
        pytest.approx([0, 43.5, 87, 130.5]),
        pytest.approx([0, 43.5]),
    ]
    assert [row["close"] for row in rows] == ["bar", "end"]
    # One section, played once, needs no heading.
    assert [row["heading"] for row in rows] == [[], []]


def test_a_chord_that_lasts_on_has_no_second_box_in_its_row() -> None:
    rows, _ = rows_of(level([[(Chord.parse("C6"), "0000")]] * 5, UKULELE, (4, 4)))
    boxes = [["box" in cell for bar in row["bars"] for cell in bar["cells"]] for row in rows]
    assert boxes == [[True, False, False, False], [True]]


def test_a_chart_of_figures_alone_has_no_box_and_tells_every_change() -> None:
    bars = [[(Chord.parse("C6"), "0000")], [(Chord.parse("F#m7b5"), "1212")]] * 5
    figures = Figures()
    rows = chart(level(bars, UKULELE, (4, 4)), figures, boxes=False)
    cells = [cell for row in rows for bar in row["bars"] for cell in bar["cells"]]
    assert not any("box" in cell for cell in cells) and figures.table() == []
    assert [cell["digits"] for cell in cells] == ["0-0-0-0", "1-2-1-2"] * 5
    assert [(row["high"], row["told"]) for row in rows] == [(0.0, True)] * 3


def test_six_crowded_bars_stand_two_in_a_row() -> None:
    crowded = [(Chord.parse("Am7"), "0000"), (Chord.parse("C#dim7"), "9-9-8-10")] * 2
    rows, _ = rows_of(level([crowded] * 6, UKULELE, (4, 4)))
    assert [len(row["bars"]) for row in rows] == [2, 2, 2]
    assert all(row["wide"] == pytest.approx(ROW_MM) for row in rows)


@pytest.mark.parametrize(
    "meter, chords, slashes",
    [
        ((4, 4), 1, [3]),
        ((4, 4), 2, [1, 1]),
        ((3, 4), 1, [2]),
        # In 6/8 the beat is dotted (common practice, no source).
        ((6, 8), 1, [1]),
        ((6, 8), 2, [0, 0]),
        ((5, 4), 1, [4]),
        # A chord that enters between two beats: the beat after it is still to be played.
        ((3, 4), 2, [1, 1]),
    ],
)
def test_a_slash_for_each_beat_without_a_change(
    meter: Meter, chords: int, slashes: list[int]
) -> None:
    bar = [(Chord.parse("C6"), "0000"), (Chord.parse("Dm7"), "2213")][:chords]
    rows, _ = rows_of(level([bar], UKULELE, meter))
    assert [len(cell["slashes"]) for cell in rows[0]["bars"][0]["cells"]] == slashes


def test_a_new_metre_is_told_where_it_begins() -> None:
    bars = [Bar.of(meter, [(Chord.parse("C6"), Fraction(0))]) for meter in ((4, 4), (3, 4), (3, 4))]
    tune = Tune("Tide", Key.parse("C"), (4, 4), 120, (Section("A", tuple(bars)),))
    shape = Voicing.parse("0000", UKULELE)
    steps = tuple(
        Step(Chord.parse("C6"), shape, played.onset, played.bar.length, index)
        for index, played in enumerate(tune.playing)
    )
    rows, _ = rows_of(Arrangement(tune, UKULELE, steps, 0, 120.0))
    assert [bar["label"] for bar in rows[0]["bars"]] == ["1", "2 · 3/4", "3"]


@given(
    st.lists(st.tuples(st.floats(0.1, 9), st.floats(0, 50)), min_size=1, max_size=9),
    st.floats(1, 400),
)
def test_allot_gives_each_its_need_and_no_more_than_there_is(
    parts: list[tuple[float, float]], total: float
) -> None:
    weights, needs = [w for w, _ in parts], [n for _, n in parts]
    widths = allot(total, weights, needs)
    assert all(w >= n - 1e-9 for w, n in zip(widths, needs, strict=True))
    assert sum(widths) == pytest.approx(max(total, sum(needs)))


def test_a_bar_that_is_cut_begins_once() -> None:
    """A number and the line before a bar stand at its first part, the rest goes on."""
    crowded = [(Chord.parse(name), "10-12-12-11-10-10") for name in NAMES + NAMES[:3]]
    rows = chart(level([crowded], GUITAR, (9, 4)), Figures(large=True))
    parts = [bar for row in rows for bar in row["bars"]]
    assert len(parts) > 1 and sum(len(part["cells"]) for part in parts) == len(crowded)
    assert [part["opens"] for part in parts] == [True] + [False] * (len(parts) - 1)
    assert [part["label"] for part in parts] == ["1"] + [""] * (len(parts) - 1)


@pytest.mark.parametrize(
    ("meter", "length", "changes", "slashes"),
    [
        # Five eighths before 6/8: the one beat in them falls after two of the five.
        ((6, 8), Fraction(5, 2), [0], [1]),
        ((6, 8), Fraction(5, 2), [0, 1], [0, 0]),
        # An eighth and a quarter before 4/4: one beat falls, after the eighth.
        ((4, 4), Fraction(3, 2), [0], [1]),
        ((4, 4), Fraction(1), [0], [0]),
        ((3, 4), Fraction(2), [0], [1]),
    ],
)
def test_beats_of_a_pick_up_are_counted_back_from_the_bar_line(
    meter: Meter, length: Fraction, changes: list[int], slashes: list[int]
) -> None:
    chords = [Chord.parse(name) for name in ("C6", "G7")]
    opening = Bar.of(meter, [(chords[i], Fraction(at)) for i, at in enumerate(changes)], length)
    bars = (opening, Bar.of(meter, [(chords[0], Fraction(0))]))
    tune = Tune("Ebb", Key.parse("C"), meter, 120, (Section("A", bars),))
    shapes = [Voicing.parse(digits, UKULELE) for digits in ("0000", "0212")]
    steps = [
        Step(chord, shapes[chords.index(chord)], change.onset, change.beats, change.bar)
        for change in tune.changes
        if (chord := change.chord)
    ]
    rows, _ = rows_of(Arrangement(tune, UKULELE, tuple(steps), 0, 120.0))
    pickup = rows[0]["bars"][0]
    assert pickup["label"] == "pick-up"
    assert [len(cell["slashes"]) for cell in pickup["cells"]] == slashes
