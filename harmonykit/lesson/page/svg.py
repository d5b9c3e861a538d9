"""Figures as a page carries them: no style attributes, ids of the page's own, each shape once.

Conventions.  A page with a strict content policy refuses ``style="..."`` on an element, so every
declaration is kept once in the page's own style sheet and the element bears a class.  Colours are
the variables of :mod:`harmonykit.draw.base.style`.  What a part stands for (``string-2-fret-3``)
is kept as ``data-part``: the page plays it when it is clicked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from harmonykit.draw.base.style import POINTS_PER_MM
from harmonykit.draw.drawing import Drawing
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan.shown import Shown, diagram

_STYLE = re.compile(r'style="([^"]*)"')
_ID = re.compile(r'\bid="([^"]*)"')
_REFERENCE = re.compile(r'(href="#|url\(#)')
_SAID = re.compile(r"<(title|desc)>.*?</\1>\s*", re.S)
_EMPTY_GROUP = re.compile(r"<g>\s*(<path [^<>]*/>|<text [^<>]*>[^<>]*</text>)\s*</g>")
_NUMBER = re.compile(r"(\d+\.\d\d)\d+")
_BODY = re.compile(r"<svg\b[^>]*>(.*)</svg>", re.S)
PX_PER_MM = 96 / 25.4
_MARK_ROOM_MM = 2.2


class Styles:
    """Declarations, each once, and the class that stands for it.

    Examples
    --------
    >>> styles = Styles()
    >>> styles.named("fill: none"), styles.named("flex: 2"), styles.named("fill: none")
    ('k0', 'k1', 'k0')
    >>> styles.css
    '.k0{fill: none}.k1{flex: 2}'
    """

    def __init__(self) -> None:
        self._names: dict[str, str] = {}

    def named(self, declarations: str) -> str:
        """Return the class that bears these declarations."""
        return self._names.setdefault(declarations.strip("; "), f"k{len(self._names)}")

    @property
    def css(self) -> str:
        """All rules."""
        return "".join(f".{name}{{{rule}}}" for rule, name in self._names.items())


@dataclass(frozen=True, slots=True)
class Symbol:
    """A shape that is drawn once and shown wherever it is played.

    ``width`` and ``height`` are in CSS pixels at final size, which the class ``size`` gives it;
    ``left`` is where the first string stands.
    """

    name: str
    view: str
    width: float
    height: float
    left: float
    size: str = ""


class Figures:
    """The drawings of one page."""

    def __init__(self, styles: Styles) -> None:
        self.styles = styles
        self._count = 0
        self._symbols: dict[Voicing, tuple[Symbol, str]] = {}

    def inline(self, drawing: Drawing) -> str:
        """Return a drawing as an ``<svg>`` element for the page."""
        size = f"width:{drawing.width_mm:g}mm;height:{drawing.height_mm:g}mm"
        svg = _SAID.sub("", self._own(drawing))
        svg = re.sub(r' (width|height)="[\d.]+mm"', "", svg, count=2)
        return svg.replace("<svg ", f'<svg class="drawing {self.styles.named(size)}" ', 1)

    def _own(self, drawing: Drawing) -> str:
        """Return the SVG with classes for styles and ids that no other figure has."""
        self._count += 1
        svg = drawing.for_page().replace(' xmlns="http://www.w3.org/2000/svg"', "")
        svg = _STYLE.sub(lambda found: f'class="{self.styles.named(found[1])}"', svg)
        svg = _NUMBER.sub(r"\1", svg)
        svg = _flattened(svg)
        return "".join(self._parts(svg, f"f{self._count}-"))

    def _parts(self, svg: str, prefix: str) -> Iterator[str]:
        """Yield the SVG with every id behind a prefix, a repeated one left out."""
        svg = _REFERENCE.sub(lambda found: found[1] + prefix, svg)
        seen: set[str] = set()
        end = 0
        for found in _ID.finditer(svg):
            part = f'data-part="{found[1]}"'
            own = "" if found[1] in seen else f'id="{prefix}{found[1]}" '
            yield svg[end : found.start()] + own + part
            seen.add(found[1])
            end = found.end()
        yield svg[end:]

    def symbol(self, shown: Shown) -> Symbol:
        """Return a shape's box as a chart shows it, drawn once for the whole page."""
        if shown.shape not in self._symbols:
            self._symbols[shown.shape] = self._drawn(shown)
        return self._symbols[shown.shape][0]

    def _drawn(self, shown: Shown) -> tuple[Symbol, str]:
        drawing = diagram(shown, named=False, size="chart")
        body = _BODY.search(_SAID.sub("", self._own(drawing)))
        # Right of the last string stands no number: there a mark's half width is room enough.
        left = drawing.origin_mm[0]
        wide, high = drawing.width_mm - left + min(left, _MARK_ROOM_MM), drawing.height_mm
        width, height = round(wide * PX_PER_MM, 1), round(high * PX_PER_MM, 1)
        symbol = Symbol(
            name=f"shape-{len(self._symbols)}",
            view=f"0 0 {wide * POINTS_PER_MM:.2f} {high * POINTS_PER_MM:.2f}",
            width=width,
            height=height,
            left=left * PX_PER_MM,
            size=self.styles.named(f"width:{width}px;height:{height}px"),
        )
        return symbol, body[1].strip() if body else ""

    @property
    def symbols(self) -> Iterable[tuple[Symbol, str]]:
        """Every symbol with what is drawn in it."""
        return self._symbols.values()


def _flattened(svg: str) -> str:
    """Take away groups that hold one thing and say nothing."""
    before = ""
    while before != svg:
        before, svg = svg, _EMPTY_GROUP.sub(r"\1", svg)
    return svg
