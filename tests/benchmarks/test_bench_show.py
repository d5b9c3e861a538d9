"""A change of state against drawing again: ratios within one run, so that machines compare."""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable
from itertools import cycle

import pytest

from harmonykit.draw.shapes import fingerboard
from harmonykit.draw.shapes.board import Board
from harmonykit.draw.shapes.fingerboard import draw_fingerboard, join_path
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.draw.shapes.states import changed_states, neck_states
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

CHORDS = [Chord.parse(symbol) for symbol in ("C6", "Am7", "F#dim7", "G7b9", "Dm7", "Ab7")]


def seconds(work: Callable[[], object], times: int) -> float:
    """Return the median time of a piece of work."""
    spans = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        spans.append(time.perf_counter() - begun)
    return statistics.median(spans)


def report(what: str, change: float, redraw: float) -> float:
    times = redraw / change
    print(f"\n{what}: {change * 1e3:.2f} ms against {redraw * 1e3:.1f} ms: {times:.0f} times")
    return times


@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_a_change_of_all_notes_costs_at_most_a_tenth_of_its_redraw(name: str) -> None:
    instrument = Instrument.named(name)
    board = Board(instrument)
    chords = cycle(CHORDS)
    sent = neck_states(instrument, CHORDS[0])

    def change() -> str:
        nonlocal sent
        before, sent = sent, neck_states(instrument, next(chords))
        return json.dumps(changed_states(before, sent))

    def redraw() -> None:
        fingerboard._base.cache_clear()
        draw_fingerboard(board, neck_states(instrument, next(chords)))

    assert report(f"{name}, all notes", seconds(change, 99), seconds(redraw, 15)) >= 10


@pytest.mark.parametrize("digits", [("ukulele", "2323 2223 0232"), ("guitar", "x32010 022100")])
def test_a_step_to_another_shape_costs_at_most_a_tenth_of_its_redraw(
    digits: tuple[str, str],
) -> None:
    instrument = Instrument.named(digits[0])
    board = Board(instrument)
    shapes = cycle([Voicing.parse(shape, instrument) for shape in digits[1].split()])
    sent = neck_states(instrument)

    def change() -> str:
        nonlocal sent
        shape = next(shapes)
        before, sent = sent, neck_states(instrument, shape, chord=CHORDS[1])
        return json.dumps([changed_states(before, sent), join_path(board, shape)])

    def redraw() -> None:
        draw_neck(instrument, [(next(shapes), CHORDS[1])])

    # The smallest redraw there is: the shape alone, without the places to click.
    assert report(f"{digits[0]}, a shape", seconds(change, 99), seconds(redraw, 15)) >= 10
