"""Bars against the clock: sections, and where whole bars begin."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.sound.events import play
from harmonykit.sound.performance import section_spans, shifts_of
from harmonykit.sound.stage import Stage
from harmonykit.theory.chord import Chord
from harmonykit.tune.bar import bar_length
from harmonykit.tune.tune import Bar, Section

Arranged = Callable[..., Arrangement]


def bars(symbols: str, **marks: object) -> tuple[Bar, ...]:
    found = [Bar.of((4, 4), [(Chord.parse(s), Fraction(0))]) for s in symbols.split()]
    return (*found[:-1], replace(found[-1], **marks))


def test_sections_come_in_the_order_of_the_form_each_way_through_them(arranged: Arranged) -> None:
    tune = arranged("C=0003").tune
    sections = (Section("A", bars("C F", closes=2)), Section("B", bars("G7")))
    tune = replace(tune, sections=sections, order=("A", "A", "B", "A"))
    # A is two bars, played twice each time.
    spans = [(name, s.start) for name, s in section_spans(tune)]
    assert spans == [("A", n) for n in (0, 2, 4, 6)] + [("B", 8), ("A", 9), ("A", 11)]
    assert sum(len(s) for _, s in section_spans(tune)) == 13
    assert len(tune.playing) == 13


def test_a_performance_says_where_its_sections_are(arranged: Arranged) -> None:
    performance = play(arranged("C=0003 | F=2010", tempo=60))
    # One bar of 4 s is counted in; two bars follow, and the ring is no part of the section.
    assert performance.sections == (("A", 4.0, 12.0),)


def test_a_pickup_starts_late_in_its_whole_bar(arranged: Arranged) -> None:
    tune = arranged("C=0003 | F=2010", pickup=Fraction(1)).tune
    assert shifts_of(tune.playing) == (3, 0)


@pytest.mark.parametrize("tempo", [54, 120, 211])
def test_some_bars_start_at_nought_with_the_first_of_them(tempo: int, arranged: Arranged) -> None:
    arrangement = arranged("C=0003 | F=2010 G7:2=0212 | C=0003", tempo=tempo)
    stage = Stage.loop(arrangement, tempo, range(1, 3))
    moments = [stage.moment(step.onset, step.bar) for _, step in stage.steps]
    assert moments == pytest.approx([beat * 60 / tempo for beat in (0, 2, 4)])
    assert stage.length == 2 * bar_length((4, 4)) and stage.ring_end == stage.end
