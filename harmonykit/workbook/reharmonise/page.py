"""The regions of the page of reharmonisation as HTML: pure functions of state and ways."""

import math
from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from itertools import groupby
from pathlib import Path
from typing import Any

from harmonykit.arrange import arrangement, functions, offering, revising, styles, wishes
from harmonykit.arrange.idioms.reading import BESIDE
from harmonykit.arrange.measures import GROUPS, Measures
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.places import Alternative, prices_said
from harmonykit.arrange.playability import SAID_OF_PARTS, playability
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.plots import course, distances, frame, front, leading
from harmonykit.errors import HarmonyError
from harmonykit.paths import shipped
from harmonykit.score.typed import take_in, text_kind, tunes_in
from harmonykit.theory.printed import printed_chord
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, fields
from harmonykit.words.glossary import label, term
from harmonykit.words.numbers import counted
from harmonykit.workbook.reharmonise import controls, decisions
from harmonykit.workbook.reharmonise.charts import (
    BARS,
    Charts,
    kept_out,
    neck_of,
    sounding_steps,
)
from harmonykit.workbook.reharmonise.picture import picture_of
from harmonykit.workbook.reharmonise.state import OWN_STYLE, ReharmoniseState, keys_offered
from harmonykit.workbook.reharmonise.ways import AS_WRITTEN, COST, Row, Ways

_HERE = Path(__file__).parent
# As wide as a notebook's page and as a telephone shows in full.
_WIDE_MM, _SMALL_MM = 174.0, frame.LEAST_MM
_NO_CHOICE = "nothing"
_FRAMES = "Intros and endings stand as they are written."
_CHOICES = {
    ("density", "usual"): "where it is worth it",
    ("density", "full"): "wherever one fits",
    ("texture", ""): "any",
    ("intro", ""): "none",
    ("ending", ""): "none",
}
_DIRECT = ("style", "density", "texture", "instrument", "intro", "ending")
_LIMITS = ("prefer", "hand", "barre")
_AS_STYLE = "as the style sets it"
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
# What is compared first, and of that what a small screen shows; more is there when asked for.
_FIRST = (
    "semitones", "travel_mm", "playability", "added", "shapes", "highest_fret", "changes_a_bar",
    "added_clashes",
)  # fmt: skip
_ALWAYS = _FIRST[:4]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the table; ``less`` where a small screen goes without it."""

    id: str
    name: str
    unit: str
    about: str
    more: str
    less: bool = False
    group: str = ""


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
    doubts = (*_left_out(state.text, state.number), *tune.doubts) if tune else ()
    keys = () if tune is None else keys_offered(tune)
    offered = [
        (key.unicode, percent(likely), tune is not None and key == tune.key) for key, likely in keys
    ]
    return str(_macros().source(names, tunes, now, fault, state.name, doubts, offered))


@lru_cache(maxsize=8)
def _left_out(text: str, number: int) -> tuple[str, ...]:
    """Return what of a message was not read, as the command ``tune`` tells it."""
    if text_kind(text) != "|":
        return ()
    try:
        left_out = take_in(text, number).left_out
    except HarmonyError:  # told beside it; shown is the last tune that could be read
        return ()
    return tuple(f"left out: {what}" for what in left_out)


def percent(share: float) -> str:
    """Return a probability as it is read.

    Examples
    --------
    >>> percent(0.934), percent(0.001), percent(0.9999)
    ('93 %', 'under 1 %', 'over 99 %')
    """
    whole = round(100 * share)
    return f"{whole} %" if 0 < whole < 100 else ("over 99 %" if whole else "under 1 %")


def direct_html(state: ReharmoniseState) -> str:
    """Return what is set beside the picture: style, density, texture, instrument, intro, ending."""
    strings = controls.value_of(state, controls.STRINGS)
    return str(_macros().direct({**_picked(state, _DIRECT), controls.STRINGS: strings}))


def _picked(state: ReharmoniseState, names: tuple[str, ...]) -> dict[str, Any]:
    """Return the values of controls that are picked from a list, and their lists."""
    values: dict[str, Any] = {name: controls.value_of(state, name) for name in names}
    for name in names:
        values[f"{name}_options"] = [
            (each, _CHOICES.get((name, each), each or _NO_CHOICE))
            for each in dict.fromkeys((*controls.OPTIONS[name], str(values[name])))
        ]
    return values


def settings_html(state: ReharmoniseState) -> str:
    """Return moves, weights, hand and time."""
    moves = [(name, label(name), term(name).means) for name in MOVES]
    about = "All idioms: several chords that replace several others"
    about += f", {BESIDE}." if state.own else "."
    moves.append((offering.ALL_IDIOMS, "idioms", about))
    typed = (
        "best", "changes_a_bar", "tempo", "max_fret", "stretch_mm", "no_clashes", "bass_player",
    )  # fmt: skip
    values = {name: controls.value_of(state, name) for name in typed} | _picked(state, _LIMITS)
    values["weights"] = [
        (n, _WEIGHT_WORDS.get(n, n), controls.value_of(state, f"weight-{n}"))
        for n in controls.WEIGHTS
    ]
    values["open_weights"] = state.style == OWN_STYLE
    return str(_macros().settings(moves, state.moves, values))


def table_html(ways: Ways, state: ReharmoniseState) -> str:
    """Return the ways as a table; a column that is the same in each row says nothing."""
    listed, every = ways.listed(state), columns(all_numbers=state.all_numbers)
    shown = [column for column in every if _tells(column, listed)]
    same = [
        f"{each.name} {printed(_value(listed[0], each.id))} ({each.unit})"
        for each in every
        if each not in shown
    ]
    chosen = ways.chosen(state.chosen).id
    values = [[_value(row, column.id) for column in shown] for row in listed]
    least = [
        min((value for value in column if value is not None), default=None)
        for column in zip(*values, strict=True)
    ]
    cells = [
        [(printed(n), n == low, col.less) for n, low, col in zip(own, least, shown, strict=True)]
        for own in values
    ]
    lines = [*zip(listed, cells, strict=True)]
    caption = f"{len(ways.rows)} arrangements; the lowest value in each column is bold"
    groups = [(name, len([*each])) for name, each in groupby(c.group for c in shown)]
    return str(_macros().table(shown, lines, state, chosen, caption, groups, same))


def choices_html(ways: Ways) -> str:
    """Return why one would take each choice of the front, and how complete the front is."""
    told, said = [row for row in ways.rows if row.why], ""
    if ways.front is not None:
        bend = front.told_of((row.mark, row.values) for row in told)
        said = f"{bend} {front.how_complete(ways.front)}"
    return str(_macros().choices(told, said))


def columns(*, all_numbers: bool) -> tuple[Column, ...]:
    """Return the columns of the table: those that are compared first, or more; then the cost."""
    measures = {each.name: each.metadata for each in fields(Measures)}
    groups = {"voices": ("semitones", *GROUPS["voices"])} if all_numbers else {"": _FIRST}
    groups |= {name: GROUPS[name] for name in GROUPS if all_numbers and name not in groups}
    found = [
        Column(
            name,
            measures[name]["name"],
            measures[name]["unit"],
            measures[name]["about"],
            f"more is {measures[name]['more']}",
            not all_numbers and name not in _ALWAYS,
            group,
        )
        for group, names in groups.items()
        for name in names
    ]
    about = "the sum that the search minimises"
    cost = Column(COST, "cost", "sum of weights", about, "", less=not all_numbers)
    return (*found, cost)


def _tells(column: Column, listed: Sequence[Row]) -> bool:
    """Whether a column tells arrangements apart; what is compared first, and the cost, stay."""
    values = {_value(row, column.id) for row in listed}
    return len(values) > 1 or column.id in (_FIRST[0], COST)


def _value(row: Row, column: str) -> float | None:
    return row.cost if column == COST else getattr(row.measures, column)


def printed(value: float | None) -> str:
    """Return a number as the table prints it.

    Examples
    --------
    >>> printed(3), printed(-0.04), printed(None), printed(float("inf"))
    ('3', '0.0', '–', '∞')
    """
    if value is None:
        return "–"
    if math.isinf(value):
        return "∞"
    return str(value) if isinstance(value, int) else f"{value:z.1f}"


def chart_html(ways: Ways, state: ReharmoniseState, charts: Charts) -> str:
    """Return the picture of the way that is shown, and below it that of another."""
    picture = picture_of(ways, state, charts)
    contours = [(each, each or _AS_STYLE) for each in (decisions.FREE, *styles.CONTOURS)]
    about = _about(ways.tune)
    symbols = list(charts.symbols)
    return str(_macros().picture(picture, symbols, charts.css, contours, about))


@lru_cache(maxsize=8)
def _about(tune: Tune) -> tuple[str, ...]:
    return functions.about_phrases(tune)


def place_html(
    place: decisions.Place,
    way: arrangement.Arrangement,
    decided: decisions.Decisions,
    others: tuple[Alternative, ...] | None,
    *,
    free: bool = True,
) -> str:
    """Return the menu of a chord: what may be done with it, and what could stand there.

    Nothing may be done with one of an intro or an ending, which is not ``free``.
    """
    step = way.steps[place.index]
    why, often = decisions.said_of(way, place) if free else (_FRAMES, "")
    number = way.tune.playing[step.bar].bar.number
    stands = revising.chosen_at(way, place.slot.onset)
    offered = None if others is None else [*_offered(others, stands)]
    menu = dict(
        chord=printed_chord(step.chord),
        where=decisions.bar_said(way, place.index),
        added=step.added,
        locked=decided.at(place.slot.onset) is not None,
        bar=number,
        as_written=number in decided.locked,
        why=why,
        often=often,
        free=free,
        prices=prices_said(way, others or ()),
    )
    return str(_macros().place(menu, offered))


def _offered(
    others: Sequence[Alternative], stands: wishes.Chosen
) -> Iterator[tuple[str, str, str, str, bool]]:
    """Yield chords, the cost beside what stands there, reason, how often heard, if it stands."""
    for each in others:
        is_here = each.chosen == stands
        why = f"{each.reason or 'As written.'} {each.not_in_use}".rstrip()
        yield told_chords(each), "used here" if is_here else each.costs, why, each.often, is_here


def told_chords(each: Alternative) -> str:
    """Return the chords of an alternative; one that goes on over a bar line is said once."""
    names = [printed_chord(chord) for chord, *_ in each.chosen]
    return " ".join(
        name for name, before in zip(names, ["", *names], strict=False) if name != before
    )


def reasons_html(ways: Ways, state: ReharmoniseState) -> str:
    """Return what makes it hard to play, and what was refused by the rules."""
    row = ways.chosen(state.chosen)
    refused, count = kept_out(row.arrangement), len(row.arrangement.refusals)
    times = counted(count, "time") if refused else ""
    rows = (row, ways.get(state.beside) or row, ways.chosen(AS_WRITTEN))
    sounding = {each.name: each.arrangement for each in rows if each.arrangement.sounding}
    hard = [(name, _difficulty(way)) for name, way in sounding.items()]
    return str(_macros().reasons(refused, times, hard))


def _difficulty(way: arrangement.Arrangement) -> str:
    """Return the number of an arrangement with the points of its parts, the greatest first."""
    found = playability(way)
    parts = sorted(SAID_OF_PARTS, key=lambda name: -found[name].points)
    said = ", ".join(f"{found[name].points:z.1f} {SAID_OF_PARTS[name]}" for name in parts)
    return f"{found.number:.1f} of 34, {said}"


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


def figure_html(ways: Ways, state: ReharmoniseState) -> str:
    """Return a figure of the voice leading of what is shown, for wide and for small screens."""
    try:
        drawn = [_figure(ways, state, width).for_page() for width in (_WIDE_MM, _SMALL_MM)]
    except HarmonyError as error:
        return str(_macros().figure((), str(error)))
    return str(_macros().figure(drawn, ""))


def _figure(ways: Ways, state: ReharmoniseState, width: float) -> Drawing:
    """Return what is shown, over what stands beside it or else the tune as written."""
    row, other = ways.chosen(state.chosen), ways.get(state.beside) or ways.chosen(AS_WRITTEN)
    if state.view == "voices":
        return leading.draw_leading(row.arrangement, width_mm=width)
    ways_drawn = [*{each.id: each.arrangement for each in (other, row)}.values()]
    draw = course.draw_courses if state.view == "map" else distances.draw_distances
    return draw(ways_drawn, width_mm=width)


def staff_html(svg: str, first: int, total: int) -> str:
    """Return some bars of the score, counted from 0."""
    return str(_macros().staff(svg, first + 1, min(first + BARS, total), total))
