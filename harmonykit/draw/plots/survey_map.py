"""Keys across, hands down: how a tune lies in every key, as a map of shades and figures.

Conventions.  Keys stand in the order of fifths, flats to the left, so that near keys are
neighbours.  A figure is how many percent more than in its best key a tune asks for there; the
darker a cell, the better the key, and the best is solid and named at the end of the line.  A
turned-down corner marks shapes past the level's limits, a line under a key's name the key in
which the tune is written.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from harmonykit.arrange.survey import table as tables
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SMALL_PT, Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD, shortened, text_width
from harmonykit.draw.base.given import spoken
from harmonykit.draw.tree import Path, polyline
from harmonykit.errors import HarmonyError
from harmonykit.theory.key import Key
from harmonykit.values import dataclass

if TYPE_CHECKING:
    import pandas as pd

_CELL_MM, _HIGH_MM, _TOP_MM, _LEFT_MM = 9.6, 7.4, 16.5, 1.5
_NAME_MM, _LEGEND_MM = 21.0, 15.0
_EAR_MM = 1.9
_NEAR, _FAR = 5.0, 15.0
_SHADES = ((_NEAR, 0.30), (_FAR, 0.12))
"""How dark a cell is that asks for so many percent more at most, from 0 to 1."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One key for one hand: percent above the best, shapes past the limits."""

    over: float
    past: int
    best: bool = False

    @property
    def text(self) -> str:
        """What stands in the cell; for several hands even the best key may ask for more."""
        return "best" if self.best and self.over == 0 else f"+{self.over:.0f}"


@dataclass(frozen=True, slots=True)
class Line:
    """One hand, or all together: what it is called, and its cells by key."""

    name: str
    cells: dict[str, Cell]

    @property
    def best(self) -> str:
        """The best key."""
        return next(key for key, cell in self.cells.items() if cell.best)


def draw_key_map(
    table: pd.DataFrame, title: str = "", *, by: str = "", palette: str = "colour"
) -> Drawing:
    """Draw how one tune of a survey lies in every key on every instrument and level.

    Where there are several, the last line is for all of them: the figure is that of the hand that
    is worst off.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    title : str
        Which tune; the only one where not given.
    by : str
        The measure to go by; the usual one where empty.
    palette : str

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If no tune, or more than one, has the title, or it has no numbers.
    """
    by = tables.measure_for(table, by)
    rows = tables.with_over(tables.keys_of(table, title), by)
    if rows.empty:
        raise HarmonyError(
            f"the survey has no results for {title!r}", mend="see its error in the table"
        )
    title = str(rows["title"].iloc[0])
    lines = [Line(name, _cells(cells)) for name, cells in tables.by_hand(rows)]
    if len(lines) > 1:
        lines.append(_together(rows))
    written = Key.parse(str(rows["written"].iloc[0])).tonic.pitch_class
    return _draw(title, lines, written, by, palette)


def _cells(rows: pd.DataFrame) -> dict[str, Cell]:
    return {
        row["key"]: Cell(row["over"], row["beyond"], row["rank"] == 0)
        for row in tables.records(rows)
    }


def _together(rows: pd.DataFrame) -> Line:
    cells = [
        (row["key"], Cell(row["over"], row["past"], place == 0))
        for place, row in enumerate(tables.records(tables.together(rows)))
    ]
    return Line("worst over all rows", dict(cells))


def in_fifths(names: Sequence[str]) -> list[str]:
    """Return names of keys in the order of fifths, flats first.

    Examples
    --------
    >>> in_fifths(["C major", "D major", "Bb major", "G major"])
    ['Bb major', 'C major', 'G major', 'D major']
    """
    return sorted(names, key=lambda name: Key.parse(name).signature)


def _draw(title: str, lines: list[Line], written: int, by: str, palette: str) -> Drawing:
    keys = in_fifths(list(dict.fromkeys(key for line in lines for key in line.cells)))
    label = max(text_width(line.name, LABEL_PT) for line in lines) + 3.0
    left = _LEFT_MM + label
    width = max(left + len(keys) * _CELL_MM + _NAME_MM, 150.0)
    below = _TOP_MM + len(lines) * _HIGH_MM + (1.6 if len(lines) > 1 else 0.0)
    canvas = Canvas(width, below + _LEGEND_MM, palette)
    told = f"percent more {tables.measure_said(by)} than in the best key"
    canvas.text(width - 1.5, 5.0, told, NOTE_PT, colour="soft", anchor="right")
    head = shortened(title, width - 8.0 - text_width(told, NOTE_PT), LABEL_PT, SEMIBOLD)
    canvas.text(_LEFT_MM, 5.0, head, LABEL_PT, weight=SEMIBOLD, anchor="left")
    _heads(canvas, keys, left, written)
    for number, line in enumerate(lines):
        y = _TOP_MM + number * _HIGH_MM
        y += 1.6 if len(lines) > 1 and number == len(lines) - 1 else 0.0
        _line(canvas, line, keys, left, y, f"line-{number}")
    _legend(canvas, below + 2.6)
    return canvas.drawing(f"keys of {title}", _describe(title, lines, by))


def _heads(canvas: Canvas, keys: list[str], left: float, written: int) -> None:
    for place, name in enumerate(keys):
        key, x = Key.parse(name), left + (place + 0.5) * _CELL_MM
        tonic = short_key(name)
        canvas.text(x, _TOP_MM - 3.2, tonic, LABEL_PT, weight=SEMIBOLD)
        if key.tonic.pitch_class == written:
            half = text_width(tonic, LABEL_PT, SEMIBOLD) / 2
            canvas.lines([[(x - half, _TOP_MM - 2.0), (x + half, _TOP_MM - 2.0)]], 0.5)


def _line(canvas: Canvas, line: Line, keys: list[str], left: float, y: float, gid: str) -> None:
    middle = y + _HIGH_MM / 2
    canvas.letter(_LEFT_MM, middle, line.name, LABEL_PT, anchor="left")
    with canvas.group(gid):
        for place, name in enumerate(keys):
            x = left + place * _CELL_MM
            if name in line.cells:
                _cell(canvas, x, y, line.cells[name])
            else:
                canvas.letter(x + _CELL_MM / 2, middle, "–", LABEL_PT, colour="soft")
    end = left + len(keys) * _CELL_MM + 2.0
    name = Key.parse(line.best).unicode
    canvas.letter(end, middle, name, LABEL_PT, weight=SEMIBOLD, anchor="left")


def _cell(canvas: Canvas, x: float, y: float, cell: Cell) -> None:
    inset = 0.35
    box = (x + inset, y + inset, _CELL_MM - 2 * inset, _HIGH_MM - 2 * inset)
    if cell.best:
        canvas.rectangle(*box, "ink")
    else:
        _shade(canvas, box, next((dark for most, dark in _SHADES if cell.over <= most), 0.0))
        right, below = box[0] + box[2], box[1] + box[3]
        corners = [box[:2], (right, box[1]), (right, below), (box[0], below), box[:2]]
        canvas.lines([corners], 0.15, colour="hair")
    colour, weight = ("paper", SEMIBOLD) if cell.best else ("ink", REGULAR)
    centre = (x + _CELL_MM / 2, y + _HIGH_MM / 2)
    canvas.letter(*centre, cell.text, NOTE_PT, weight=weight, colour=colour)
    if cell.past:
        draw_ear(canvas, box[0] + box[2], box[1], "paper" if cell.best else "ink")


def draw_ear(
    canvas: Canvas, right: float, top: float, colour: str = "ink", part: float = 1.0
) -> None:
    """Draw the turned-down corner that marks shapes past the limits, or a part of its size."""
    side = part * _EAR_MM
    corner = [(right - side, top), (right, top), (right, top + side)]
    canvas.add(Path(polyline(corner, closed=True), fill=colour))


def _shade(canvas: Canvas, box: tuple[float, float, float, float], dark: float) -> None:
    if dark:
        canvas.rectangle(*box, "ink", opacity=dark)


def _legend(canvas: Canvas, y: float) -> None:
    entries = (
        (Cell(0, 0, best=True), "the best key"),
        (Cell(3, 0), f"up to {_NEAR:.0f} %"),
        (Cell(9, 0), f"up to {_FAR:.0f} %"),
        (Cell(22, 1), "has a shape beyond the limits of the level"),
    )
    x = _LEFT_MM
    for cell, text in entries:
        _cell(canvas, x, y, cell)
        start = x + _CELL_MM + 1.2
        canvas.letter(start, y + _HIGH_MM / 2, text, SMALL_PT, colour="soft", anchor="left")
        x = start + text_width(text, SMALL_PT) + 4.0
    canvas.text(
        _LEFT_MM,
        y + 11.0,
        "underlined: the key as written",
        SMALL_PT,
        colour="soft",
        anchor="left",
    )


def _describe(title: str, lines: list[Line], by: str) -> str:
    said = [f"{line.name}: {spoken_key(line.best)}{_next_best(line)}" for line in lines]
    return f"The best keys for {title}, ranked by {tables.measure_said(by)}. {'. '.join(said)}"


def _next_best(line: Line) -> str:
    others = [(cell.past, cell.over, key) for key, cell in line.cells.items() if not cell.best]
    if not others:
        return ""
    past, over, key = min(others)
    beyond = ", with shapes past the limits" if past else ""
    return f", next {spoken_key(key)} with {over:.0f} percent more{beyond}"


def short_key(name: str) -> str:
    """Return a key's name as it stands in a figure.

    Examples
    --------
    >>> short_key("Bb major"), short_key("F# minor")
    ('B♭', 'F♯m')
    """
    key = Key.parse(name)
    return key.tonic.unicode + ("m" if key.mode == "minor" else "")


def spoken_key(name: str) -> str:
    """Return a key's name for the ear.

    Examples
    --------
    >>> spoken_key("F# minor")
    'F sharp minor'
    """
    key = Key.parse(name)
    return f"{spoken(key.tonic)} {key.mode}"
