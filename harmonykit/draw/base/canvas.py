"""A sheet in mm to draw on, which becomes a tree; and the sizes of type and lines upon it.

Conventions.  The origin is the top left corner, x runs right and y runs down, both in mm at final
size.  Angles are clock angles: degrees from the top, turning right.  What is added later lies
above what was added before.  The same calls give the same tree.
"""

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Literal

from harmonykit.draw import tree
from harmonykit.draw.base.colours import palette
from harmonykit.draw.base.fonts import POINTS_PER_MM, REGULAR
from harmonykit.draw.drawing import SCREEN_MM, Drawing

# With the drawing that a sheet becomes: who imports it takes this from here too.
__all__ = [
    "CAP_MIDDLE_EM", "HEAD_PT", "HOLD_MM", "HUB_PT", "JOIN_MM", "LABEL_PT", "NAME_PT", "NOTE_PT",
    "NUT_MM", "SCREEN_MM", "SMALL_PT", "THIN_MM", "Canvas", "Drawing", "arc_points", "on_clock",
]  # fmt: skip

# Type sizes in points: the least is 8.
NAME_PT, LABEL_PT, NOTE_PT, SMALL_PT = 13.0, 10.0, 8.5, 8.0
HEAD_PT, HUB_PT = 17.0, 24.0

THIN_MM, HOLD_MM, JOIN_MM, NUT_MM = 0.25, 0.25, 0.8, 1.0

# Capitals of the text face are .66 em high: their middle lies this far above the baseline.
CAP_MIDDLE_EM = 0.327


class Canvas:
    """A sheet of given size to draw on.

    Parameters
    ----------
    width, height : float
        In mm.
    colours : str
        The name of a palette.
    """

    def __init__(self, width: float, height: float, colours: str = "colour") -> None:
        palette(colours)
        self.width, self.height, self.colours = width, height, colours
        self._open: list[list[tree.Part]] = [[]]

    @property
    def parts(self) -> tuple[tree.Part, ...]:
        """What is drawn so far, or in the group that is open."""
        return tuple(self._open[-1])

    def add(self, part: tree.Part) -> None:
        """Lay a part on what is there."""
        self._open[-1].append(part)

    @contextmanager
    def group(self, name: str | None, role: str = "", alt: str = "") -> Iterator[None]:
        """Put what is drawn meanwhile under one id (``None`` for no id) and role."""
        self._open.append([])
        yield
        self.add(tree.Group(tuple(self._open.pop()), name or "", role, alt))

    @contextmanager
    def mark(self, role: str, x: float, y: float, d: float) -> Iterator[None]:
        """Make what is drawn meanwhile the mark of a role, in mm."""
        self._open.append([])
        yield
        parts = tuple(part for part in self._open.pop() if isinstance(part, (tree.Path, tree.Text)))
        self.add(tree.Mark(role, x, y, d, parts))

    def lines(
        self,
        strokes: Sequence[Sequence[tree.Point]],
        width: float,
        *,
        colour: str = "ink",
        dash: Sequence[float] = (),
        cap: Literal["butt", "round"] = "butt",
        role: str = "",
    ) -> None:
        """Draw several open polylines as one path."""
        outline = tuple(step for stroke in strokes for step in tree.polyline(stroke))
        self.add(
            tree.Path(outline, stroke=colour, width=width, dash=tuple(dash), cap=cap, role=role)
        )

    def rectangle(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        colour: str,
        *,
        opacity: float = 1.0,
    ) -> None:
        """Fill a rectangle given by its top left corner."""
        self.add(tree.Path(_corners(x, y, width, height), fill=colour, opacity=opacity))

    def area(self, x: float, y: float, width: float, height: float) -> None:
        """Lay an unseen rectangle that a click can meet, given by its top left corner."""
        self.add(tree.Path(_corners(x, y, width, height), role="area"))

    def place(self, drawing: Drawing, x: float, y: float, prefix: str = "") -> None:
        """Lay a drawing with its top left corner at a place, its ids behind a prefix."""
        parts = tuple(part.moved(x, y) for part in drawing.prefixed(prefix).sheet.parts)
        self.add(tree.Group(parts, role="drawing", alt=drawing.alt))

    def circle(
        self,
        x: float,
        y: float,
        across: float,
        *,
        fill: str | None = None,
        stroke: str | None = None,
        width: float = 0.0,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw a circle; ``across`` is measured on the line's middle."""
        self.add(
            tree.Path(
                tree.ring(x, y, across),
                fill=fill or "",
                stroke=stroke or "",
                width=width,
                dash=tuple(dash),
            )
        )

    def cross(self, x: float, y: float, half: float, width: float) -> None:
        """Draw a cross; from its middle its arms reach ``half`` to each side, up and down."""
        strokes = [
            [(x - half, y - half), (x + half, y + half)],
            [(x - half, y + half), (x + half, y - half)],
        ]
        self.lines(strokes, width)

    def arc(
        self, centre: tree.Point, radius: float, start: float, end: float, width: float, colour: str
    ) -> None:
        """Draw an arc between two clock angles."""
        self.lines([arc_points(centre, radius, start, end)], width, colour=colour)

    def arrow(self, points: Sequence[tree.Point], width: float, colour: str = "ink") -> None:
        """Draw a line whose last point is the tip of a barbed head."""
        (x0, y0), (x1, y1) = points[-2], points[-1]
        along = math.atan2(y1 - y0, x1 - x0)
        right, down = width * math.cos(along), width * math.sin(along)

        def turned(x: float, y: float) -> tree.Point:
            return x1 + x * right - y * down, y1 + x * down + y * right

        self.lines([[*points[:-1], turned(-2.3, 0.0)]], width, colour=colour)
        head = [(0.0, 0.0), (-3.15, 1.32), (-2.35, 0.0), (-3.15, -1.32)]
        self.add(
            tree.Path(tree.polyline([turned(*point) for point in head], closed=True), fill=colour)
        )

    def text(
        self,
        x: float,
        baseline: float,
        text: str,
        size: float,
        *,
        weight: int = REGULAR,
        colour: str = "ink",
        anchor: tree.Anchor = "center",
    ) -> None:
        """Set a run of text by its baseline; anchor ``"left"``, ``"center"`` or ``"right"``."""
        self.add(tree.Text(x, baseline, text, size, weight, colour, anchor))

    def letter(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        *,
        weight: int = REGULAR,
        colour: str = "ink",
        anchor: tree.Anchor = "center",
    ) -> None:
        """Set a run of text so that the middle of its capitals is at ``y``."""
        down = CAP_MIDDLE_EM * size / POINTS_PER_MM
        self.text(x, y + down, text, size, weight=weight, colour=colour, anchor=anchor)

    def drawing(self, title: str, alt: str, origin: tree.Point = (0.0, 0.0)) -> Drawing:
        """Finish: return the sheet as a ``harmonykit.draw.drawing.Drawing``."""
        width, height = round(self.width, 3), round(self.height, 3)
        sheet = tree.Sheet(width, height, self.parts, title, alt)
        return Drawing(sheet, origin, self.colours)


def _corners(x: float, y: float, width: float, height: float) -> tree.Outline:
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    return tree.polyline(corners, closed=True)


def on_clock(centre: tree.Point, radius: float, angle: float) -> tree.Point:
    """Return the point at a clock angle (degrees from the top, turning right)."""
    turn = math.radians(angle)
    return centre[0] + radius * math.sin(turn), centre[1] - radius * math.cos(turn)


def arc_points(centre: tree.Point, radius: float, start: float, end: float) -> list[tree.Point]:
    """Return points along an arc, one for every 1.5 degrees or closer."""
    steps = max(2, math.ceil(abs(end - start) / 1.5))
    turns = (start + (end - start) * step / steps for step in range(steps + 1))
    return [on_clock(centre, radius, turn) for turn in turns]
