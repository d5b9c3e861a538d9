"""Bars, reasons and refusals of a way, as the page tells them."""

from __future__ import annotations

import re

from harmonykit.workbook.reharmonise.charts import (
    OWN,
    Charts,
    kept_out,
    neck_of,
    put_in,
    sounding_steps,
)
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Row, find_best

TUNE = """format = 1
title = "Bollard Round"
key = "G minor"
meter = "4/4"
form = ["A", "B", "A"]
[[sections]]
name = "A"
changes = "| Gm6 | Bb7 | Eb6 | D7 |"
[[sections]]
name = "B"
changes = "| Cm6 | Am7b5 |"
"""


def best(**asked: object) -> Row:
    state = ReharmoniseState(text=TUNE, best=1, **asked)  # type: ignore[arg-type]
    return find_best(state, lambda done, total: None).rows[1]


def test_chords_and_shapes_are_those_of_the_way() -> None:
    row = best()
    cells = [cell for bar in Charts().of(row) for cell in bar.cells]
    steps = row.arrangement.steps
    assert [cell.name for cell in cells] == [step.chord.unicode for step in steps if step.chord]
    assert [cell.digits for cell in cells] == [s.voicing.digits for s in steps if s.voicing]


def test_a_shape_is_drawn_once_and_nothing_of_it_is_shared_with_other_panels() -> None:
    charts, row = Charts(), best()
    charts.of(row)
    charts.of(row)
    drawn = list(charts.symbols)
    # Once for each way to hold it and to come to it, which its marks show.
    way = row.arrangement
    held = zip(way.steps, way.fingerings, way.changes, strict=True)
    looks = {
        (step.voicing, fingering, change.kept if change else (), change.slid if change else ())
        for step, fingering, change in held
        if step.voicing
    }
    assert len(drawn) == len(looks) >= len(way.shapes)
    assert not any(re.search(r'\bid="', body) for _, body in drawn)
    assert not re.search(r"\.k\d", charts.css) and f".{OWN}k0" in charts.css


def test_every_chord_put_in_has_its_bar_and_a_reason() -> None:
    way = best().arrangement
    found = put_in(way)
    assert {item.step for item in found} <= {n for n, s in enumerate(way.steps) if s.added}
    assert found and all(item.reason.endswith(".") and item.move for item in found)
    assert all(way.steps[item.step].chord.unicode == item.chord for item in found)
    bars = {way.tune.playing[way.steps[item.step].bar].bar.number for item in found}
    assert {item.bar for item in found} == bars


def test_every_refusal_is_told_once_with_all_its_places() -> None:
    way = best().arrangement
    found = kept_out(way)
    assert {(item.move, item.rule) for item in found} == {(r.move, r.rule) for r in way.refusals}
    assert len(found) == len({(item.move, item.rule) for item in found})
    for refusal in way.refusals:
        where = next(i.where for i in found if (i.move, i.rule) == (refusal.move, refusal.rule))
        assert f"{refusal.chord} in bar" in where


def test_the_neck_shows_the_shape_and_the_way_to_it() -> None:
    way = best().arrangement
    places = sounding_steps(way)
    assert places[0] == 0
    for before, now in zip(places, places[1:], strict=False):
        step = way.steps[now]
        assert (step.chord, step.voicing) != (way.steps[now - 1].chord, way.steps[now - 1].voicing)
        svg = neck_of(way, now).svg
        for string, fret in enumerate(step.voicing.frets, 1):
            assert f'id="string-{string}-fret-{fret}"' in svg
        assert before < now
