"""A tree as a page carries it: colours as variables, ids of the page's own, and each part by name.

Conventions.  A page with a strict content policy refuses ``style="..."`` on an element, so looks
are attributes.  Colours are the variables of ``harmonykit.draw.base.style``.  What a part stands
for (``string-2-fret-3``) is its ``data-part``: the page plays it when it is clicked.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from harmonykit.draw.base.style import POINTS_PER_MM, palette
from harmonykit.draw.tree import Part, Sheet
from harmonykit.draw.writers.svg import ROOT, Attributes, Pen, opened, said, write_parts

VARIABLES = {token: f"var(--{token})" for token in palette("colour").tokens}


@dataclass(frozen=True, slots=True)
class PagePen(Pen):
    """Writes ids behind a prefix, one that is met again only as a part's name; or no ids."""

    ids: bool = True
    colours: Mapping[str, str] = field(default_factory=lambda: VARIABLES)
    _seen: set[str] = field(default_factory=set)

    def named(self, part: Part) -> Attributes:
        """Yield the attributes that say which part it is."""
        if part.id:
            if self.ids and part.id not in self._seen:
                yield "id", self.prefix + part.id
            self._seen.add(part.id)
            yield "data-part", part.id
        yield from said(part)


def _pen(prefix: str | None) -> PagePen:
    return PagePen(prefix or "", ids=prefix is not None)


def write_figure(sheet: Sheet, prefix: str | None, classes: str) -> str:
    """Return a figure as an ``<svg>`` of the page, its size left to its classes.

    Without a prefix its parts have names and no ids.
    """
    wide, high = (f"{mm * POINTS_PER_MM:.2f}" for mm in (sheet.width, sheet.height))
    head = [("class", classes), ("viewBox", f"0 0 {wide} {high}"), ("role", "img")]
    svg = opened("svg", [*head, ("aria-label", sheet.alt), *ROOT])
    return f"{svg}\n{write_parts(sheet.parts, _pen(prefix))}</svg>"


def write_body(sheet: Sheet, prefix: str | None) -> str:
    """Return what is drawn on a sheet, to be set into an element of the page."""
    return f"{opened('g', ROOT)}\n{write_parts(sheet.parts, _pen(prefix))}</g>"
