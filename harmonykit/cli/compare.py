"""What ``harmonykit compare`` shows: ways to reharmonise one tune, side by side, by numbers."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.measures import compare
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.search import reharmonise
from harmonykit.cli.chord_text import WIDTH, printed
from harmonykit.fretboard.instrument import Instrument
from harmonykit.tune.tune import Tune

if TYPE_CHECKING:
    import pandas as pd

AS_WRITTEN = "as written"
# Seven columns of numbers beside their labels are what a terminal of 80 holds.
BEST_OF_ALL = ("all moves, best", "all moves, second", "all moves, third")


def ways(tune: Tune, instrument: Instrument) -> tuple[Arrangement, ...]:
    """Return the tune as written, with each move alone, and the best with all moves together.

    Raises
    ------
    HarmonyError
        If a chord of the tune has no shape that a hand can hold on the instrument.
    """
    asked = [(AS_WRITTEN, ()), *((move, (move,)) for move in MOVES)]
    single = [reharmonise(tune, instrument, moves, k=1, name=name)[0] for name, moves in asked]
    together = reharmonise(tune, instrument, tuple(MOVES), k=len(BEST_OF_ALL))
    ranked = zip(BEST_OF_ALL, together, strict=False)
    return (*single, *(replace(found, name=name) for name, found in ranked))


def to_text(tune: Tune, found: tuple[Arrangement, ...], table: pd.DataFrame) -> str:
    """Return the table turned on its side: a line a measure, a column a way, 80 columns wide."""
    lines = list(_heading(tune, found[0].instrument))
    for place, (name, way) in enumerate(zip(table.index, found, strict=True), 1):
        lines += _legend(place, str(name), way)
    return "\n".join([*lines, "", *_numbers(table)])


def read_and_compare(tune: Tune, instrument: Instrument) -> tuple[str, pd.DataFrame]:
    """Return what the command prints, and the table itself."""
    found = ways(tune, instrument)
    table = compare(found)
    return to_text(tune, found, table), table


def _heading(tune: Tune, instrument: Instrument) -> Iterator[str]:
    title = f"{tune.title} on the {instrument.name}, {printed(instrument.tuning)}; "
    yield from textwrap.wrap(title + f"{len(tune.playing)} bars, {tune.tempo:g} a minute", WIDTH)
    for doubt in tune.doubts:
        yield from textwrap.wrap(f"doubt: {doubt}", WIDTH, subsequent_indent="  ")
    yield ""


def _legend(place: int, name: str, way: Arrangement) -> list[str]:
    """Return the way's number and name, and which chords it puts in which bars of the page."""
    added: dict[str, list[int]] = {}
    for step in way.steps:
        if step.chord is None or step.chord == step.written:
            continue
        number = way.tune.playing[step.bar].bar.number
        numbers = added.setdefault(printed(step.chord.symbol), [])
        if number not in numbers:
            numbers.append(number)
    chords = ", ".join(f"{chord} ({_bars(numbers)})" for chord, numbers in added.items())
    text = f"{name}: {chords}" if chords else name
    return textwrap.wrap(text, WIDTH, initial_indent=f"{place:2}  ", subsequent_indent="      ")


def _bars(numbers: list[int]) -> str:
    return f"bar{'s' if len(numbers) > 1 else ''} {' '.join(map(str, sorted(numbers)))}"


def _numbers(table: pd.DataFrame) -> Iterator[str]:
    label = max(map(len, table.columns))
    columns = range(1, len(table) + 1)
    yield " " * label + "".join(f"{place:7}" for place in columns)
    for name, values in table.items():
        yield str(name).ljust(label) + "".join(f"{_number(value):>7}" for value in values.tolist())


def _number(value: float) -> str:
    # A float says so even where it is whole, so that a column reads evenly.
    return str(value) if isinstance(value, int) else f"{value:.1f}"
