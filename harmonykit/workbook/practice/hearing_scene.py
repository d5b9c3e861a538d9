"""What was heard of a level, as a picture: a cell for each change, and the neck below.

Lengths are in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from harmonykit.about.names import NO_NOTES
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.style import LABEL_PT, NOTE_PT, SEMIBOLD
from harmonykit.draw.tree import Outline
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.verdicts import AS_WRITTEN, NOTHING, OTHER, UNCLEAR, UNLIKE, Heard
from harmonykit.workbook.base.scene import Look, Scene, Spot
from harmonykit.workbook.panels.scenes import NECK_LINES, WIDE_MM, Neck

ROW = 6
_CELL_MM, _HIGH_MM, _CHORD_PT = WIDE_MM / ROW, 22.0, 14.0
_LONGEST = 14
_ROLES = {AS_WRITTEN: ("note", "fifth"), OTHER: ("tension", "tension"), UNLIKE: ("tension",) * 2}


@dataclass(frozen=True, slots=True)
class Cell:
    """A change as it stands on paper: the number of its bar, its chord and its shape."""

    bar: int
    chord: str
    shape: Voicing


@lru_cache(maxsize=8)
def scene_of(cells: tuple[Cell, ...], instrument: Instrument) -> Scene:
    """Return the picture of some changes, before anything is heard."""
    rows = -(-len(cells) // ROW)
    neck = _neck(instrument, rows)
    canvas = Canvas(WIDE_MM, rows * _HIGH_MM + neck.high)
    spots: list[Spot] = []
    for n, cell in enumerate(cells):
        x, y = _corner(n)
        canvas.letter(x + 1, y + 3.5, f"bar {cell.bar}", NOTE_PT, colour="soft", anchor="left")
        canvas.letter(x + 1, y + 9, cell.chord, _CHORD_PT, weight=SEMIBOLD, anchor="left")
        spots.append(Spot(f"change-{n}", x + 4, y + 15.5, 5.0, across=8.0))
        word = Spot(f"word-{n}", x + 8, y + 15.5, point=LABEL_PT, press=False, anchor="start")
        spots.append(word)
    neck.draw(canvas)
    spots += neck.spots(press=False)
    title = "what was heard, change by change"
    return Scene(WIDE_MM, canvas.height, canvas.parts, tuple(spots), NECK_LINES, title=title)


def _corner(number: int) -> tuple[float, float]:
    row, column = divmod(number, ROW)
    return column * _CELL_MM, row * _HIGH_MM


def _neck(instrument: Instrument, rows: int) -> Neck:
    return Neck(instrument, (0.0, rows * _HIGH_MM))


def looks_of(
    cells: tuple[Cell, ...], instrument: Instrument, heard: tuple[Heard, ...], picked: int
) -> tuple[dict[str, Look], dict[str, Outline]]:
    """Return how all looks: what was heard at each change, and the shape of the one picked."""
    looks: dict[str, Look] = {}
    for n, cell in enumerate(cells):
        one = heard[n] if n < len(heard) else None
        said = one.told if one is not None else "nothing heard yet"
        name = f"bar {cell.bar}, {cell.chord}: {said}"
        looks[f"change-{n}"] = Look(_role(one), _sign(one), name, n == picked)
        looks[f"word-{n}"] = Look("none", "" if one is None else _word(one))
    shape = cells[picked].shape if 0 <= picked < len(cells) else None
    neck = _neck(instrument, -(-len(cells) // ROW))
    return looks | neck.looks(NO_NOTES, None, shape), neck.courses(shape)


def _role(one: Heard | None) -> str:
    if one is None:
        return "off"
    roles = _ROLES.get(one.verdict)
    return "off" if roles is None else roles[0 if one.sure else 1]


def _sign(one: Heard | None) -> str:
    if one is None:
        return "·"
    return {UNCLEAR: "?", NOTHING: "–"}.get(one.verdict, "" if one.verdict in _ROLES else "–")


def _word(one: Heard) -> str:
    """Return in a word or two what was heard."""
    how = "" if one.sure else ", likely"
    if one.verdict == AS_WRITTEN:
        return f"heard{how}"
    if one.verdict in (OTHER, UNLIKE):
        name = one.names[0] if one.verdict == OTHER else "another"
        return f"{name if len(name) <= _LONGEST else 'other notes'}{how}"
    return "cannot tell" if one.verdict == UNCLEAR else one.verdict
