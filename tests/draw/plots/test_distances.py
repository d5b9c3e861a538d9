"""The strip of bars: its numbers by hand, its columns in the picture."""

from __future__ import annotations

from fractions import Fraction

import pytest
from lawful import ink, lawful
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.measures import measure
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.draw.plots.distances import bar_distances, draw_distances
from harmonykit.draw.tree import Path, Sheet, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


def step(symbol: str, digits: str, onset: int, beats: int, bar: int, written: str) -> Step:
    return Step(
        Chord.parse(symbol),
        Voicing.parse(digits, UKULELE),
        Fraction(onset),
        Fraction(beats),
        bar,
        "" if symbol == written else "leading-tone diminished",
        written=Chord.parse(written),
    )


def example(name: str = "bridged") -> Arrangement:
    """C6 | C6 G#dim7 | Am7 with the open strings and 4-5-4-5: 18 semitones each way."""
    tune = tune_of("| C6 | C6 | Am7 |")
    steps = (
        step("C6", "0000", 0, 4, 0, "C6"),
        step("C6", "0000", 4, 2, 1, "C6"),
        step("G#dim7", "4545", 6, 2, 1, "C6"),
        step("Am7", "0000", 8, 4, 2, "Am7"),
    )
    return Arrangement(tune, UKULELE, steps, 0, 120, name=name)


def test_a_change_belongs_to_the_bar_in_which_it_arrives() -> None:
    assert bar_distances(example()) == (0, 18, 18)


def test_the_bars_add_up_to_the_measure() -> None:
    tune = tune_of("| C6 | A7 | Dm7 | N.C. | G7 | C6 |")
    for way in reharmonise(tune, UKULELE, k=3):
        assert sum(bar_distances(way)) == measure(way).semitones


def test_the_picture_has_a_strip_an_arrangement_and_says_its_numbers() -> None:
    figure = draw_distances([example(), example("again")])
    assert {"arrangement-1", "arrangement-2"} <= set(figure.sheet.ids)
    assert sum("36 semitones in all" in text for text in figure.sheet.texts) == 2
    assert "bridged: 36 in all, at most 18, in played bar 2" in figure.alt
    # Per strip: two figures above columns.
    assert figure.sheet.texts.count("18") == 4


def test_a_bar_where_a_chord_is_put_in_is_solid_and_the_others_open() -> None:
    """Bar 2 has a chord put in, bar 3 is as written; the key has one of each."""
    columns = [path for path in draw_distances([example()]).sheet.all(Path) if path.fill]
    assert sorted(path.fill for path in columns) == ["ink", "ink", "paper", "paper"]
    assert {path.stroke for path in columns} == {"ink"}


def test_arrangements_of_several_lengths_cannot_be_compared() -> None:
    other = reharmonise(tune_of("| C6 | F6 |"), UKULELE, (), k=1)[0]
    with pytest.raises(HarmonyError, match="bar by bar"):
        draw_distances([example(), other])
    with pytest.raises(HarmonyError, match="0 arrangements"):
        draw_distances([])


def test_long_tunes_have_no_figures_over_their_columns() -> None:
    tune = tune_of("| C6 | G7 |", more="form = [" + ", ".join(['"A"'] * 30) + "]")
    (way,) = reharmonise(tune, UKULELE, (), k=1)
    figure = draw_distances([way])
    moved = bar_distances(way)[1]
    assert str(moved) not in figure.sheet.texts


def strips(count: int = 2) -> Sheet:
    drawing = draw_distances([example(f"way {n}") for n in range(1, count + 1)])
    lawful(drawing, (1.1, 5, 1.1, 4))
    return drawing.sheet


def test_columns_are_as_high_as_their_semitones_and_stand_on_the_ground() -> None:
    tune = tune_of("| C6 | A7 | Dm7 | G7 | C6 |")
    (way,) = reharmonise(tune, UKULELE, (), k=1, wishes=Wishes(name="plain"))
    row = bar_distances(way)
    sheet = draw_distances([way]).sheet
    parts = sheet.all(Path, within="arrangement-1")
    (ground,) = [p for p in parts if p.box.height == 0]
    columns = [p for p in parts if p.fill]
    assert len(columns) == sum(n > 0 for n in row)
    highs = [ground.box.top - ink(p).top for p in columns]
    semitones = [n for n in row if n]
    unit = highs[0] / semitones[0]
    assert highs == pytest.approx([n * unit for n in semitones])
    # The highest takes 17 mm.
    assert max(highs) == pytest.approx(17)
    # Five bars share 172 mm; a column stands in the middle of its bar.
    middles = [1 + 172 / 5 * (n + 0.5) for n, steps in enumerate(row) if steps]
    assert [p.box.middle[0] for p in columns] == pytest.approx(middles)
    assert (ground.box.left, ground.box.right) == pytest.approx((1, 173))
    assert all(ink(p).width == pytest.approx(3.4) for p in columns)
    figures = {
        t.x: t
        for t in sheet.all(Text, within="arrangement-1")
        if t.text.isdigit() and t.baseline < ground.box.top
    }
    for middle, column, steps in zip(middles, columns, semitones, strict=True):
        text = next(t for x, t in figures.items() if abs(x - middle) < 0.01)
        assert text.text == str(steps)
        assert 0.5 < ink(column).top - text.baseline < 1.5


def test_strips_stand_32_mm_apart_on_one_scale() -> None:
    sheet = strips()
    grounds = [
        p for n in (1, 2) for p in sheet.all(Path, within=f"arrangement-{n}") if p.box.height == 0
    ]
    assert grounds[1].box.top - grounds[0].box.top == pytest.approx(32)
    heads = [t for t in sheet.all(Text) if t.text.startswith("way ")]
    totals = [t for t in sheet.all(Text) if t.text.endswith(" in all")]
    for head, total, ground in zip(heads, totals, grounds, strict=True):
        assert head.box.left == pytest.approx(1) and total.box.right == pytest.approx(173)
        assert head.baseline == total.baseline
        assert 20 < ground.box.top - head.baseline < 25
    assert strips(1).height == pytest.approx(sheet.height - 32)


def test_every_fourth_bar_is_numbered_below_its_middle() -> None:
    tune = tune_of("| C6 | A7 | Dm7 | G7 | C6 | A7 | Dm7 | G7 | C6 |")
    (way,) = reharmonise(tune, UKULELE, (), k=1)
    sheet = draw_distances([way]).sheet
    (ground,) = [p for p in sheet.all(Path, within="arrangement-1") if p.box.height == 0]
    numbers = [
        t
        for t in sheet.all(Text, within="arrangement-1")
        if t.text.isdigit() and t.baseline > ground.box.top
    ]
    assert [t.text for t in numbers] == ["1", "5", "9"]
    wide = 172 / 9
    assert [t.x for t in numbers] == pytest.approx([1 + wide * (n + 0.5) for n in (0, 4, 8)])
    assert all(1 < ink(t).top - ground.box.top < 3 for t in numbers)
    # Longer tunes have as many numbers at most: every eighth bar from 41 on.
    long = tune_of("| C6 | G7 |", more="form = [" + ", ".join(['"A"'] * 30) + "]")
    (way,) = reharmonise(long, UKULELE, (), k=1)
    drawn = draw_distances([way])
    lawful(drawn, (1.1, 5, 1.1, 4))
    below = [t for t in drawn.sheet.all(Text) if t.text.isdigit() and t.baseline > 20]
    assert len(below) == 8


def test_sections_have_a_tick_where_they_start() -> None:
    tune = tune_of("| C6 | G7 |")
    (way,) = reharmonise(tune, UKULELE, (), k=1)
    one = draw_distances([way]).sheet
    assert not [p for p in one.all(Path) if p.stroke and p.box.width == 0]


def test_the_key_has_a_column_of_each_kind_before_its_words() -> None:
    sheet = strips()
    columns = [p for p in sheet.parts if isinstance(p, Path) and p.fill]
    said = [t for t in sheet.parts if isinstance(t, Text)]
    assert [p.fill for p in columns] == ["ink", "paper"] and len(said) == 2
    for column, text in zip(columns, said, strict=True):
        assert 0.8 < text.box.left - ink(column).right < 2
        assert ink(column).height == pytest.approx(3.2, abs=0.25)
        assert ink(column).width == pytest.approx(3.4)
        assert 0 <= ink(column).bottom - text.baseline < 0.8
        assert column.width == pytest.approx(0.4)
    assert said[0].box.right + 4 < columns[1].box.left
    assert ink(columns[0]).left - 1 < 1


def test_one_semitone_alone_takes_the_whole_height() -> None:
    """A C E flat F sharp becomes A C D F sharp: one string falls by one fret."""
    tune = tune_of("| Adim7 | D7 |")
    steps = (step("Adim7", "2323", 0, 4, 0, "Adim7"), step("D7", "2223", 4, 4, 1, "D7"))
    way = Arrangement(tune, UKULELE, steps, 0, 120, name="near")
    assert bar_distances(way) == (0, 1)
    parts = draw_distances([way]).sheet.all(Path, within="arrangement-1")
    (ground,) = [p for p in parts if p.box.height == 0]
    (column,) = [p for p in parts if p.fill]
    assert ground.box.top - ink(column).top == pytest.approx(17)
