"""The regions of the page of reharmonisation as HTML: pure functions of state and ways."""

import math
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from typing import Any

from harmonykit.arrange.functions import about_phrases
from harmonykit.arrange.measures import Measures
from harmonykit.arrange.moves import MOVES
from harmonykit.paths import shipped
from harmonykit.score.typed import tunes_in
from harmonykit.tune.tune import Tune
from harmonykit.words.glossary import label, term
from harmonykit.workbook.reharmonise.charts import (
    Charts,
    kept_out,
    neck_of,
    put_in,
    sounding_steps,
)
from harmonykit.workbook.reharmonise.keys import keys_offered
from harmonykit.workbook.reharmonise.plot import live_ways
from harmonykit.workbook.reharmonise.staff import BARS
from harmonykit.workbook.reharmonise.state import (
    OPTIONS,
    OWN_STYLE,
    WEIGHTS,
    ReharmoniseState,
    value_of,
)
from harmonykit.workbook.reharmonise.ways import COST, Row, Ways

_HERE = Path(__file__).parent
_NO_CHOICE = "nothing"
_WEIGHT_WORDS = {
    "semitone": "a semitone of a voice",
    "top": "a semitone of the top voice",
    "travel": "a mm of travel",
    "string": "a changed fret",
    "stretch": "a mm of stretch",
    "height": "a fret up the neck",
    "change": "an added chord",
    "chance": "a place left as written",
    "clash": "an added clash",
}
# What is compared first; the others are there when asked for.
_FIRST = (
    "semitones", "travel_mm", "playability", "added", "shapes", "highest_fret", "changes_a_bar",
    "added_clashes",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the table."""

    id: str
    name: str
    unit: str
    about: str


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the table, its numbers as printed, each with whether it is the least."""

    id: str
    mark: str
    kind: str
    name: str
    on_front: bool
    chosen: bool
    beside: bool
    cells: tuple[tuple[str, bool], ...]


@cache
def _macros() -> Any:
    from jinja2 import Environment

    environment = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
    text = (_HERE / "reharmonise.html.jinja").read_text(encoding="utf-8")
    return environment.from_string(text).module


def source_html(state: ReharmoniseState, fault: str, tune: Tune | None) -> str:
    """Return the ways to open a tune, its likely keys, and what is wrong with it."""
    tunes = [(str(number), f"{number} {title}") for number, title in tunes_in(state.text)]
    names = [("", "choose"), *((name, name.replace("_", " ")) for name in shipped("tunes"))]
    now = str(state.number or (tunes[0][0] if tunes else 0))
    doubts = tune.doubts if tune else ()
    keys = () if tune is None else keys_offered(state.text, tune)
    offered = [(key.unicode, tune is not None and key == tune.key) for key in keys]
    return str(_macros().source(names, tunes, now, fault, state.name, doubts, offered))


def settings_html(state: ReharmoniseState) -> str:
    """Return moves, style, weights, hand and time."""
    moves = [(name, label(name), term(name).means) for name in MOVES]
    values: dict[str, Any] = {
        name: value_of(state, name)
        for name in (
            "style", "prefer", "best", "changes_a_bar", "tempo", "instrument", "hand",
            "max_fret", "stretch_mm", "barre", "no_clashes", "bass_player",
        )
    }  # fmt: skip
    for name in ("style", "prefer", "instrument", "hand", "barre"):
        values[f"{name}_options"] = [(each, each or _NO_CHOICE) for each in OPTIONS[name]]
    values["weights"] = [
        (n, _WEIGHT_WORDS.get(n, n), value_of(state, f"weight-{n}")) for n in WEIGHTS
    ]
    values["open_weights"] = state.style == OWN_STYLE
    return str(_macros().settings(moves, state.moves, values))


def table_html(ways: Ways, state: ReharmoniseState) -> str:
    """Return the ways as a table."""
    shown = columns(all_numbers=state.all_numbers)
    listed = ways.listed(state)
    chosen = ways.chosen(state.chosen).id
    values = [[_value(row, column.id) for column in shown] for row in listed]
    least = [
        min((value for value in column if value is not None), default=None)
        for column in zip(*values, strict=True)
    ]
    lines = [
        Line(
            id=row.id,
            mark=row.mark,
            kind=row.id.split("-")[0],
            name=row.name,
            on_front=bool(row.on_front),
            chosen=row.id == chosen,
            beside=row.id == state.beside,
            cells=tuple((printed(n), n == low) for n, low in zip(cells, least, strict=True)),
        )
        for row, cells in zip(listed, values, strict=True)
    ]
    caption = f"{len(ways.rows)} arrangements; the least of each column is bold"
    return str(_macros().table(shown, lines, state.order, state.all_numbers, caption))


@dataclass(frozen=True, slots=True)
class Taken:
    """A choice of the front, and why one would take it."""

    mark: str
    kind: str
    why: str


def choices_html(ways: Ways) -> str:
    """Return why one would take each choice of the front, and how complete the front is."""
    told = [Taken(row.mark, row.id.split("-")[0], row.why) for row in ways.rows if row.why]
    return str(_macros().choices(told, about_front(ways)))


def about_front(ways: Ways) -> str:
    """Return how complete the front is; nothing where it is not known."""
    if ways.front is None:
        return ""
    points = len(ways.front.points)
    if not ways.front.bounded:
        front = f"The Pareto front has {points} arrangements and is complete"
        return f"{front}: no other has less movement, less travel and fewer added chords."
    semitones, travel, _ = ways.front.epsilon
    return (
        f"The Pareto front shows {points} arrangements. One that is missing is better by at most "
        f"{semitones} semitones and {travel} mm."
    )


def columns(*, all_numbers: bool) -> tuple[Column, ...]:
    """Return the columns of the table: those that are compared first, or all; then the cost."""
    measures = {each.name: each for each in fields(Measures)}
    names = (*_FIRST, *(name for name in measures if name not in _FIRST and all_numbers))
    found = [
        Column(
            name,
            measures[name].metadata["column"].partition(" (")[0],
            measures[name].metadata["unit"],
            measures[name].metadata["about"],
        )
        for name in names
    ]
    cost = Column(COST, "cost", "sum of weights", "what the search adds up; the best has the least")
    return (*found, cost)


def _value(row: Row, column: str) -> float | None:
    return row.cost if column == COST else getattr(row.measures, column)


def printed(value: float | None) -> str:
    """Return a number as the table prints it.

    Examples
    --------
    >>> printed(3), printed(2.345), printed(None), printed(float("inf"))
    ('3', '2.3', '–', '∞')
    """
    if value is None:
        return "–"
    if math.isinf(value):
        return "∞"
    return str(value) if isinstance(value, int) else f"{value:.1f}"


def plot_html(ways: Ways, state: ReharmoniseState) -> str:
    """Return the ways as a scatter."""
    return live_ways(ways, state)


def chart_html(ways: Ways, state: ReharmoniseState, charts: Charts) -> str:
    """Return the chart of the way that is shown, and beside it that of another."""
    row, other = ways.chosen(state.chosen), ways.get(state.beside)
    views = [("chosen", charts.of(row, state.locked))]
    if other is not None and other.id != row.id:
        views.append(("beside", charts.of(other, state.locked)))
    phrases = about_phrases(ways.tune)
    return str(_macros().charts(views, list(charts.symbols), charts.css, phrases))


def reasons_html(ways: Ways, state: ReharmoniseState) -> str:
    """Return why each chord was put in, and what was refused."""
    way = ways.chosen(state.chosen).arrangement
    added, refused = put_in(way), kept_out(way)
    count = len(way.refusals)
    times = f"{count} time{'' if count == 1 else 's'}" if refused else ""
    return str(_macros().reasons(added, refused, state.step, times))


def neck_html(ways: Ways, state: ReharmoniseState) -> str:
    """Return the neck with one chord and the way to it."""
    way = ways.chosen(state.chosen).arrangement
    places = sounding_steps(way)
    place = max((n for n, step in enumerate(places) if step <= state.step), default=0)
    step = way.steps[places[place]]
    chord = step.chord.unicode if step.chord else ""
    number = way.tune.playing[step.bar].bar.number
    said = f"{chord} {step.voicing.digits if step.voicing else ''}, bar {number}"
    svg = neck_of(way, places[place]).for_page()
    change = way.changes[places[place]]
    fingers = f"Fingers: {change.words}." if change else ""
    return str(_macros().neck(svg, said, place + 1, len(places), step.reason, fingers))


def staff_html(svg: str, first: int, total: int) -> str:
    """Return some bars of the score, counted from 0."""
    return str(_macros().staff(svg, first + 1, min(first + BARS, total), total))
