"""A sheet in mm, drawn with matplotlib and handed back as clean SVG.

Conventions.  The origin is the top left corner, x runs right and y runs down, both in mm at final
size.  Angles are clock angles: degrees from the top, turning right.  What is added later lies
above what was added before.  The same calls give the same bytes.
"""

from __future__ import annotations

import io
import math
import re
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from html import escape
from typing import Any, Literal

import matplotlib
from matplotlib.artist import Artist
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.colors import to_rgba
from matplotlib.font_manager import FontProperties
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.textpath import text_to_path
from matplotlib.transforms import Affine2D

from harmonykit.draw.base.style import (
    FAMILIES,
    FAMILY,
    POINTS_PER_MM,
    REGULAR,
    Drawing,
    palette,
    register_fonts,
)

Point = tuple[float, float]
Anchor = Literal["left", "center", "right"]

# Capitals of the text face are .66 em high: their middle lies this far above the baseline.
_CAP_MIDDLE_EM = 0.327
_SETTINGS = {"svg.fonttype": "none", "svg.hashsalt": "harmonykit", "svg.id": None}
_SAVING = threading.Lock()
_NO_METADATA = {"Date": None, "Creator": None, "Format": None, "Type": None}


class _Group(Artist):
    """Artists drawn in the order in which they came, under one id."""

    def __init__(self, gid: str | None = None) -> None:
        super().__init__()
        self.parts: list[Artist] = []
        self.set_gid(gid)

    def draw(self, renderer: Any) -> None:
        renderer.open_group("part", gid=self.get_gid())
        for part in self.parts:
            part.draw(renderer)
        renderer.close_group("part")


class _Run(Text):
    """A run of text, set by its baseline: whoever shows it sets it, so none of it is measured."""

    def draw(self, renderer: Any) -> None:
        if not self.get_text():
            return
        renderer.open_group("text", self.get_gid())
        x, y = self.get_transform().transform(self.get_unitless_position())
        pen = renderer.new_gc()
        pen.set_foreground(to_rgba(self.get_color()), isRGBA=True)
        font, turn = self.get_fontproperties(), self.get_rotation()
        renderer.draw_text(pen, x, renderer.height - y, self.get_text(), font, turn, mtext=self)
        pen.restore()
        renderer.close_group("text")


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
        self.width, self.height = width, height
        self.colours = palette(colours).tokens
        self._root = _Group()
        self._open = [self._root]
        self._inserted: list[str] = []
        self._to_points = Affine2D().scale(POINTS_PER_MM, -POINTS_PER_MM)
        self._to_points.translate(0, height * POINTS_PER_MM)

    def _add(self, artist: Artist) -> None:
        self._open[-1].parts.append(artist)

    @contextmanager
    def group(self, gid: str | None, classes: str = "") -> Iterator[None]:
        """Put what is drawn meanwhile under one element id (``None`` for no id) and classes."""
        group = _Group(f"{gid}|{classes}" if classes else gid)
        self._open[-1].parts.append(group)
        self._open.append(group)
        yield
        self._open.pop()

    def path(
        self,
        path: Path,
        *,
        fill: str | None = None,
        stroke: str | None = None,
        width: float = 0.0,
        dash: Sequence[float] = (),
        join: Literal["round", "miter"] = "round",
        cap: Literal["butt", "round"] = "butt",
    ) -> None:
        """Draw a path: colours by token, line width and dashes in mm."""
        pattern: Any = (0, tuple(length / width for length in dash)) if dash else "solid"
        self._add(
            PathPatch(
                path,
                facecolor=self.colours[fill] if fill else "none",
                edgecolor=self.colours[stroke] if stroke else "none",
                linewidth=width * POINTS_PER_MM,
                linestyle=pattern,
                joinstyle=join,
                capstyle=cap,
                transform=self._to_points,
            )
        )

    def lines(
        self,
        strokes: Sequence[Sequence[Point]],
        width: float,
        *,
        colour: str = "ink",
        dash: Sequence[float] = (),
        cap: Literal["butt", "round"] = "butt",
    ) -> None:
        """Draw several open polylines as one path."""
        points = [point for stroke in strokes for point in stroke]
        codes = [
            code for stroke in strokes for code in [Path.MOVETO] + [Path.LINETO] * (len(stroke) - 1)
        ]
        self.path(Path(points, codes), stroke=colour, width=width, dash=dash, cap=cap)

    def rectangle(self, x: float, y: float, width: float, height: float, colour: str) -> None:
        """Fill a rectangle given by its top left corner."""
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]
        self.path(Path(corners, closed=True), fill=colour)

    def area(self, x: float, y: float, width: float, height: float) -> None:
        """Lay an unseen rectangle that a click can meet, given by its top left corner."""
        sides = zip(("x", "y", "width", "height"), (x, y, width, height), strict=True)
        placed = " ".join(f'{side}="{value * POINTS_PER_MM:.2f}"' for side, value in sides)
        self.insert(f'<rect class="area" {placed} fill="none" pointer-events="all"/>')

    def insert(self, markup: str) -> None:
        """Put SVG markup of one's own here; its units are points from the top left."""
        self._open[-1].parts.append(_Group(f"inserted-{len(self._inserted)}"))
        self._inserted.append(markup)

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
        ring = Path.circle((x, y), across / 2)
        self.path(ring, fill=fill, stroke=stroke, width=width, dash=dash)

    def arc(
        self, centre: Point, radius: float, start: float, end: float, width: float, colour: str
    ) -> None:
        """Draw an arc between two clock angles."""
        self.lines([arc_points(centre, radius, start, end)], width, colour=colour)

    def arrow(self, points: Sequence[Point], width: float, colour: str = "ink") -> None:
        """Draw a line whose last point is the tip of a barbed head."""
        (x0, y0), (x1, y1) = points[-2], points[-1]
        along = math.atan2(y1 - y0, x1 - x0)
        head = [(0.0, 0.0), (-3.15, 1.32), (-2.35, 0.0), (-3.15, -1.32), (0.0, 0.0)]
        turned = Affine2D().scale(width).rotate(along).translate(x1, y1)
        shaft_end = turned.transform((-2.3, 0.0))
        self.lines(
            [[*points[:-1], (float(shaft_end[0]), float(shaft_end[1]))]], width, colour=colour
        )
        self.path(Path(turned.transform(head), closed=True), fill=colour)

    def text(
        self,
        x: float,
        baseline: float,
        text: str,
        size: float,
        *,
        weight: int = REGULAR,
        colour: str = "ink",
        anchor: Anchor = "center",
    ) -> None:
        """Set a run of text by its baseline; anchor ``"left"``, ``"center"`` or ``"right"``."""
        self._add(
            _Run(
                x,
                baseline,
                text,
                color=self.colours[colour],
                fontproperties=_font(size, weight),
                horizontalalignment=anchor,
                verticalalignment="baseline",
                parse_math=False,
                transform=self._to_points,
            )
        )

    def letter(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        *,
        weight: int = REGULAR,
        colour: str = "ink",
        anchor: Anchor = "center",
    ) -> None:
        """Set a run of text so that the middle of its capitals is at ``y``."""
        down = _CAP_MIDDLE_EM * size / POINTS_PER_MM
        self.text(x, y + down, text, size, weight=weight, colour=colour, anchor=anchor)

    def drawing(
        self, title: str, alt: str, origin: Point = (0.0, 0.0), classes: str = ""
    ) -> Drawing:
        """Finish: return the sheet as a :class:`~harmonykit.draw.base.style.Drawing`."""
        register_fonts()
        buffer = io.StringIO()
        # matplotlib's settings are one for all threads, and a page may be drawn beside another.
        with _SAVING, _settings():
            renderer: Any = RendererSVG(  # type: ignore[no-untyped-call]
                self.width * POINTS_PER_MM,
                self.height * POINTS_PER_MM,
                buffer,
                image_dpi=72,
                metadata=_NO_METADATA,
            )
            renderer.open_group("figure")
            self._root.draw(renderer)
            renderer.close_group("figure")
            renderer.finalize()
        svg = _clean(buffer.getvalue(), self.width, self.height, title, alt)
        for number, markup in enumerate(self._inserted):
            svg = svg.replace(f'<g id="inserted-{number}"/>', markup)
        if classes:
            svg = svg.replace("<svg ", f'<svg class="{classes}" ', 1)
        return Drawing(svg, alt, round(self.width, 3), round(self.height, 3), origin)


@contextmanager
def _settings() -> Iterator[None]:
    """Set what a drawing needs; ``rc_context`` would copy some three hundred settings each time."""
    settings: Any = matplotlib.rcParams
    before = {name: settings[name] for name in _SETTINGS}
    settings.update(_SETTINGS)
    try:
        yield
    finally:
        settings.update(before)


@lru_cache(maxsize=64)
def _font(size: float, weight: int) -> FontProperties:
    return FontProperties(family=list(register_fonts()), size=size, weight=weight)


@lru_cache(maxsize=512)
def text_width(text: str, size: float, weight: int = REGULAR) -> float:
    """Return the width in mm that a run of text takes."""
    # Measured at one size: looking up a font costs more than all the rest.
    scale = text_to_path.FONT_SCALE
    font = _font(scale, weight)
    wide = float(text_to_path.get_text_width_height_descent(text, font, False)[0])
    return wide * (size / scale) / POINTS_PER_MM


def on_clock(centre: Point, radius: float, angle: float) -> Point:
    """Return the point at a clock angle (degrees from the top, turning right)."""
    turn = math.radians(angle)
    return centre[0] + radius * math.sin(turn), centre[1] - radius * math.cos(turn)


def arc_points(centre: Point, radius: float, start: float, end: float) -> list[Point]:
    """Return points along an arc, one for every 1.5 degrees or closer."""
    steps = max(2, math.ceil(abs(end - start) / 1.5))
    turns = (start + (end - start) * step / steps for step in range(steps + 1))
    return [on_clock(centre, radius, turn) for turn in turns]


_BODY = re.compile(r"<svg\b[^>]*>\s*(?:<defs>\s*<style.*?</style>\s*</defs>)?(.*)</svg>", re.S)
# matplotlib numbers what it draws ("patch_3"): two figures on a page would share such ids.
_NUMBERED_ID = re.compile(r' id="[a-zA-Z0-9]+_\d+"')
_CLASSED_ID = re.compile(r' id="([^"|]*)\|([^"]*)"')
_NO_TURN = re.compile(r' transform="rotate\(-0 [^)]*\)"')
_LONG_NUMBER = re.compile(r"(\.\d{3})\d+")
_FAMILY = ", ".join(f"'{name}'" for name in FAMILY)
_BREAKS = re.compile(r"\s*\n\s*")


def _clean(svg: str, width: float, height: float, title: str, alt: str) -> str:
    found = _BODY.search(svg)
    body = found[1] if found else ""
    for pattern, new in (
        (_NUMBERED_ID, ""),
        (_CLASSED_ID, r' id="\1" class="\2"'),
        (_NO_TURN, ""),
        (_LONG_NUMBER, r"\1"),
    ):
        body = pattern.sub(new, body)
    body = _BREAKS.sub(" ", body).replace("> <", ">\n<").strip()
    body = body.replace(_FAMILY, FAMILIES).replace(' "/>', '"/>')
    box = f"0 0 {width * POINTS_PER_MM:.3f} {height * POINTS_PER_MM:.3f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm"'
        f' viewBox="{box}" role="img" aria-label="{escape(alt)}"'
        ' stroke-linejoin="round" stroke-linecap="butt">\n'
        f"<title>{escape(title)}</title>\n<desc>{escape(alt)}</desc>\n{body}\n</svg>"
    )
