"""The matrix, the map and the mapping of a row of chords, as one picture for each number of chords.

The lower triangle of the matrix has the ids ``cell-2-1`` (row, column); a chord is ``name-1`` on
the diagonal and ``place-1`` on the map.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.tree import Outline, Part, Path, Point, polyline, rounded
from harmonykit.workbook.base.scene import Line, Scene, Spot, joined

WIDE_MM, MAP_MM, CELL_MM = 174.0, 84.0, 9.0
_TOP_MM, _MAP_AT = 6.0, (90.0, 4.0)
_MARGIN_MM, _SCALE_DOWN_MM = 10.0, 7.0
VOICE_MM, VOICES_HIGH_MM, MOST_VOICES = 9.5, 30.0, 12
BOX_MM = (13.0, 6.4)
_CORNER_MM = 0.9


def cell_at(row: int, column: int) -> Point:
    """Return the middle of a cell; a chord's own row and column meet on the diagonal."""
    return (column + 0.5) * CELL_MM, _TOP_MM + row * CELL_MM


def high(chords: int) -> float:
    """Return how high the upper half of the picture is."""
    return max(MAP_MM + 8.0, _TOP_MM + chords * CELL_MM)


@lru_cache(maxsize=16)
def scene_of(chords: int) -> Scene:
    """Return the picture that is drawn once for a number of chords."""
    tall = high(chords) + VOICES_HIGH_MM
    canvas = Canvas(WIDE_MM, tall)
    _grid(canvas, chords)
    return Scene(
        WIDE_MM,
        tall,
        canvas.parts,
        (*_cells(chords), *_places(chords), *_voices(chords), *_words(chords)),
        (Line("path", 0.3, "soft", (0.95, 0.75)), Line("picked", 0.8), Line("scale", 0.6),
         Line("held", 0.25), Line("moving", 0.8)),
        box_marks(),
        "distances between chords: a matrix, a map and a mapping",
    )  # fmt: skip


def _grid(canvas: Canvas, chords: int) -> None:
    lines: list[list[Point]] = []
    half = CELL_MM / 2
    for row in range(1, chords):
        x, y = cell_at(row, 0)
        right = row * CELL_MM
        lines.append([(0.2, y - half), (right, y - half)])
        lines.append([(right, y - half), (right, _TOP_MM + (chords - 0.5) * CELL_MM)])
    if lines:
        bottom = _TOP_MM + (chords - 0.5) * CELL_MM
        lines += [
            [(0.2, bottom), (lines[-1][0][0], bottom)],
            [(0.2, lines[0][0][1]), (0.2, bottom)],
        ]
        canvas.lines(lines, 0.2, colour="hair")


def _cells(chords: int) -> tuple[Spot, ...]:
    cells = tuple(
        Spot(f"cell-{row + 1}-{column + 1}", *cell_at(row, column), point=11.0, across=8.6)
        for row in range(chords)
        for column in range(row)
    )
    names = tuple(
        Spot(f"name-{n + 1}", n * CELL_MM + 1.5, cell_at(n, 0)[1], point=10.5, anchor="start",
             press=False)
        for n in range(chords)
    )  # fmt: skip
    return cells + names


def _places(chords: int) -> tuple[Spot, ...]:
    x, y = _MAP_AT
    wide, tall = BOX_MM
    return tuple(
        Spot(f"place-{n + 1}", x, y, point=10.0, across=wide, tall=tall) for n in range(chords)
    )


def _voices(chords: int) -> tuple[Spot, ...]:
    top = high(chords)
    spots = []
    for voice in range(MOST_VOICES):
        x = voice_x(voice)
        for row, y in (("from", top + 6.0), ("to", top + 24.0)):
            spots.append(Spot(f"{row}-{voice + 1}", x, y, 6.2, 9.0, press=False))
        spots.append(Spot(f"steps-{voice + 1}", x, top + 15.0, point=10.0, press=False))
    return tuple(spots)


def voice_x(voice: int) -> float:
    """Return where a voice stands."""
    return 32.0 + voice * VOICE_MM


def _words(chords: int) -> tuple[Spot, ...]:
    top, (x, y) = high(chords), _MAP_AT
    return (
        Spot("from-name", 2.0, top + 6.0, point=13.0, anchor="start", press=False),
        Spot("to-name", 2.0, top + 24.0, point=13.0, anchor="start", press=False),
        Spot("scale-word", x + 2.0, y + MAP_MM, point=8.5, anchor="start", press=False),
    )


def voice_courses(moves: list[int], chords: int) -> dict[str, Outline]:
    """Return the lines of the voices: thin where one is held, thick where it moves."""
    top = high(chords)
    held: Outline = ()
    moving: Outline = ()
    for voice, move in enumerate(moves):
        x = voice_x(voice)
        if move == 0:
            held += polyline([(x, top + 9.6), (x, top + 20.4)])
        else:
            moving += polyline([(x, top + 9.6), (x, top + 12.4)])
            moving += polyline([(x, top + 17.6), (x, top + 20.2)])
            moving += polyline([(x - 0.9, top + 18.9), (x, top + 20.3), (x + 0.9, top + 18.9)])
    return {"held": held, "moving": moving}


def on_map(points: NDArray[np.float64]) -> tuple[list[Point], float]:
    """Return where chords stand on the map, and how many mm are one semitone."""
    span = float(max(np.ptp(points[:, 0]), np.ptp(points[:, 1]), 1e-9)) if len(points) else 1.0
    room = MAP_MM - 2 * _MARGIN_MM
    scale = min(room / span, 16.0)
    middle = (points.max(axis=0) + points.min(axis=0)) / 2
    placed = (points - middle) * scale
    x, y = _MAP_AT[0] + MAP_MM / 2, _MAP_AT[1] + MAP_MM / 2 - 4.0
    return [(x + float(a), y - float(b)) for a, b in placed], scale


def scale_bar(scale: float) -> Outline:
    """Return the bar that is one semitone long on the map."""
    x, y = _MAP_AT[0] + 2.0, _MAP_AT[1] + MAP_MM - 4.5
    ends = [polyline([(at, y - 1.2), (at, y + 1.2)]) for at in (x, x + scale)]
    return polyline([(x, y), (x + scale, y)]) + joined(ends)


def box_marks() -> dict[str, tuple[Part, ...]]:
    """Return boxes: for a name on the map, solid, open or dashed, and for cells of a matrix."""
    wide, tall = BOX_MM
    return {
        "box": (box(wide, tall, "paper", 0.35),),
        "box-picked": (box(wide, tall, "ink", 0.35),),
        "cell-one": (box(8.0, 8.0, "ink", 0.35),),
        "cell-two": (box(8.0, 8.0, "paper", 0.56),),
        "cell-picked": (box(8.0, 8.0, "", 0.42, (0.85, 0.56)),),
    }


def box(wide: float, tall: float, fill: str, line: float, dash: tuple[float, ...] = ()) -> Path:
    """Return a box about the origin with round corners, in mm; its fill by token, or none."""
    outline = rounded(-wide / 2, -tall / 2, wide, tall, _CORNER_MM)
    return Path(outline, fill, "ink", line, dash)
