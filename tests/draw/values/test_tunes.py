"""A tune and an arrangement as they show themselves: their bars, words and shapes."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product

import pytest
from lawful import ink, lawful
from small_arrangements import _arranged
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Group, Path, Text
from harmonykit.draw.values.tunes import MOST_BARS, show_arrangement, show_tune, table_of_added
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Section, Tune

UKULELE = Instrument.named("ukulele")


def arranged(tune: Tune) -> Arrangement:
    return reharmonise(tune, UKULELE, k=1, wishes=Wishes(density="full"))[0]


def bars(drawing: Drawing) -> list[list[str]]:
    """Return what is written in each bar."""
    groups = [group for group in drawing.sheet.all(Group) if group.role == "bar"]
    return [[t.text for t in _texts(group)] for group in groups]


def _texts(group: Group) -> list[Text]:
    found: list[Text] = []
    for part in group.parts:
        found += (
            _texts(part) if isinstance(part, Group) else [part] if isinstance(part, Text) else []
        )
    return found


@pytest.mark.parametrize("name", ["heron_landing", "slack_water_waltz"])
def test_a_tune_keeps_the_laws_of_figures(name: str) -> None:
    tune = read_tune(find_data("tunes", name))
    lawful(show_tune(tune), (4.1, 4.5, 4, 6))
    lawful(show_arrangement(arranged(tune)), (4.1, 4.5, 4, 6))


def test_a_tune_is_written_bar_by_bar() -> None:
    drawing = show_tune(tune_of("| C6 | Dm7 G7 | N.C. | - |"))
    assert [bar[-2:] if len(bar) > 3 else bar[-1:] for bar in bars(drawing)][1] == ["Dm7", "G7"]
    assert "N.C." in bars(drawing)[2]
    assert drawing.alt.endswith(
        "bar 1, C six; bar 2, D minor seven then G seven; bar 3, " + drawing.alt.split("bar 3, ")[1]
    )
    assert "bar 4, the same" in drawing.alt
    assert "4 bars" in drawing.sheet.texts[1] and "4/4" in drawing.sheet.texts[1]


def test_more_bars_than_can_be_shown_are_counted() -> None:
    for count, said in (
        (MOST_BARS, ""),
        (MOST_BARS + 1, "1 more bar is not shown"),
        (MOST_BARS + 3, "3 more bars are not shown"),
    ):
        tune = tune_of("| C6 " * count + "|")
        for drawing in (show_tune(tune), show_arrangement(arranged(tune))):
            told = [text for text in drawing.sheet.texts if "not shown" in text]
            assert [text.split(";")[0] for text in told] == ([said] if said else [])
            assert len(bars(drawing)) == MOST_BARS
            # Only what is shown to its end has a final bar line.
            last = max(
                (p for p in drawing.sheet.parts if isinstance(p, Path)), key=lambda p: p.box.top
            )
            assert (last.width > 0.6) is not bool(said)


def test_an_arrangement_has_frets_under_its_chords_and_added_ones_underlined() -> None:
    way = arranged(tune_of("| C6 | Dm7 G7 | C6 | - |"))
    drawing = show_arrangement(way)
    added = drawing.sheet.all(Group, "added")
    assert len(added) == len(way.added) > 0
    assert any("Underlined chords are added." in text for text in drawing.sheet.texts)
    for step in way.sounding:
        assert step.voicing is not None and step.chord is not None
        assert step.voicing.digits in drawing.sheet.texts
    plain = reharmonise(tune_of("| C6 | G7 |"), UKULELE, (), k=1)[0]
    assert not any("Underlined" in text for text in show_arrangement(plain).sheet.texts)
    assert table_of_added(plain) == ""
    html = re.sub(r' style="[^"]*"', "", table_of_added(way))
    for step in way.added:
        assert step.chord is not None and step.voicing is not None
        number = way.tune.playing[step.bar].bar.number
        assert f"<td>{number}</td><td>{step.chord.unicode}</td>" in html.replace("\n", "")
        assert step.voicing.digits in html and step.move in html


def test_a_chord_that_carries_on_is_not_written_again() -> None:
    plain = reharmonise(tune_of("| C6 | C6 | G7 |"), UKULELE, (), k=1)[0]
    written = bars(show_arrangement(plain))
    assert "C6" in written[0] and "C6" not in written[1] and "G7" in written[2]


def test_shapes_stand_level_in_even_columns_each_once() -> None:
    way = arranged(tune_of("| C6 | Am7 D7 | Dm7 G7 | Em7 A7 | F6 Fm6 | C6 |"))
    drawing = show_arrangement(way)
    boxes = [g for g in drawing.sheet.all(Group) if g.role == "drawing"]
    assert len(boxes) == len(way.shapes) > 5
    assert len({group.alt.split(": ", 1)[1] for group in boxes}) == len(boxes)
    names = [_texts(group)[0] for group in boxes]
    rows: dict[float, list[Text]] = {}
    for name in names:
        rows.setdefault(round(name.baseline, 2), []).append(name)
    first = next(iter(rows.values()))
    # A box of four strings is 27 mm wide: five in 152 mm.
    assert len(first) == 5
    steps = [b.x - a.x for a, b in zip(first, first[1:], strict=False)]
    assert steps == pytest.approx([27.0] * 4)
    assert len(rows) == -(-len(boxes) // 5)
    lowest = max(t.baseline for t in drawing.sheet.all(Text) if t not in names and t.size == 13)
    assert min(ink(name).top for name in names) > lowest
    # Rows follow each other without a gap wider than a line.
    ends = max(ink(t).bottom for t in _texts(boxes[0]))
    if len(rows) > 1:
        second = list(rows.values())[1][0]
        assert 3 < ink(second).top - ends < 8


def test_a_named_arrangement_bears_its_name() -> None:
    way = arranged(tune_of("| C6 | Dm7 G7 | C6 | - |"))
    named = replace(way, name="smooth")
    assert show_arrangement(named).sheet.texts[0].endswith("(smooth)")
    told = show_arrangement(way).sheet.texts[1]
    assert f"{len(way.sounding)} chords, {len(way.added)} added, {len(way.shapes)} shapes" in told


def test_a_repeat_that_is_played_oftener_than_twice_says_how_often() -> None:
    """Two dots alone mean twice; three times are told (common practice, no source)."""
    for times, said in ((2, []), (3, ["3 times"]), (4, ["4 times"])):
        section = Section("A", tuple(Tune.parse("|: C6 | G7 :|").bars))
        again = (section.bars[0], replace(section.bars[1], closes=times))
        tune = replace(Tune.parse("|: C6 | G7 :|"), sections=(Section("A", again),))
        texts = show_tune(tune).sheet.texts
        assert [text for text in texts if text.endswith("times")] == said


def test_a_chord_stands_at_its_beat_of_the_bar() -> None:
    """By hand: of 36 mm a bar has 2.2 at each side; half a bar is half of the rest."""
    sheet = show_tune(tune_of("| C6 G7 | C6 | C6 | C6 |")).sheet
    bars = [group for group in sheet.all(Group) if group.role == "bar"]
    first, half = [t for t in _texts(bars[0]) if t.size == 13]
    assert half.x - first.x == pytest.approx((36 - 4.4) / 2)
    waltz = show_tune(tune_of("| C6 F6 G7 | C6 | C6 | C6 |", meter="3/4")).sheet
    bars = [group for group in waltz.all(Group) if group.role == "bar"]
    first, _, late = [t for t in _texts(bars[0]) if t.size == 13]
    assert late.x - first.x == pytest.approx((36 - 4.4) * 2 / 3)


def test_what_is_said_of_shapes_not_shown_stands_below_the_last_row() -> None:
    """Sixteen are shown.  By hand: boxes 4 mm apart, the line 3 mm under that, 3 at the foot."""
    frets = [f"{a}{b}{c}{d}" for a, b, c, d in product((0, 2), (0, 1, 2), (0, 1), (0, 2, 3))]
    found = []
    for count in (16, 17, 19):
        way = _arranged(" | ".join(f"C6={frets[n % len(frets)]}" for n in range(count)))
        drawing = show_arrangement(way)
        assert len({step.voicing for step in way.steps}) == count
        boxes = [g for g in drawing.sheet.all(Group) if g.role == "drawing"]
        assert len(boxes) == min(count, 16)
        said = [t for t in drawing.sheet.all(Text) if "not shown" in t.text and "shape" in t.text]
        lowest = max(t.baseline for group in boxes for t in _texts(group))
        if not said:
            assert count == 16
            continue
        (text,) = said
        found.append(text.text)
        assert drawing.height_mm - text.baseline == pytest.approx(3.0)
        assert 5.5 < text.baseline - lowest < 9
        assert (text.x, text.size, text.colour) == (4.0, 8.5, "soft")
    assert found == ["1 more shape is not shown.", "3 more shapes are not shown."]
