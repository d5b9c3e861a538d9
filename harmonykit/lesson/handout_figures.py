"""The figures of a handout: each drawn once, in print colours, with the marks that it shows.

A sheet names a figure by its key; the figures themselves travel once beside the pages.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from harmonykit.fretboard.voicing import Voicing
from harmonykit.show.marks import mark_drawing
from harmonykit.show.roles import ROLES, role_of
from harmonykit.show.style import Drawing, palette
from harmonykit.theory.chord import Chord

_KEY_MARK_MM = 4.0
_HEX = re.compile(r"#[0-9a-f]{6}\b")


class Figures:
    """Collects the figures of a handout, in one palette.

    Parameters
    ----------
    palette : str
        ``"print"``, or ``"one ink"`` for a school's copier.

    Examples
    --------
    >>> from harmonykit.fretboard.instrument import Instrument
    >>> from harmonykit.show.box import draw_box
    >>> shape, figures = Voicing.parse("2323", Instrument.named("ukulele")), Figures()
    >>> figures.add(draw_box(shape, palette="print"), ["note"])
    0
    >>> figures.add(draw_box(shape, palette="print"), ["note"])
    0
    >>> sorted(figures.table()[0])
    ['alt', 'high', 'left', 'roles', 'svg', 'top', 'wide']
    """

    def __init__(self, palette: str = "print") -> None:
        self.palette = palette
        self._places: dict[tuple[str, tuple[str, ...]], int] = {}
        self._drawings: list[tuple[Drawing, tuple[str, ...]]] = []

    def add(self, drawing: Drawing, roles: Iterable[str] = ()) -> int:
        """Take in a figure with the roles whose marks it shows; return its key."""
        shown = tuple(role for role in ROLES if role in set(roles))
        key = (drawing.svg, shown)
        if key not in self._places:
            self._places[key] = len(self._drawings)
            self._drawings.append((drawing, shown))
        return self._places[key]

    def recoloured(self, drawing: Drawing) -> Drawing:
        """Return a figure that was drawn for the screen in this palette."""
        mine = palette(self.palette).tokens
        values = {value: mine[token] for token, value in palette("colour").tokens.items()}
        return replace(drawing, svg=_HEX.sub(lambda hit: values.get(hit[0], hit[0]), drawing.svg))

    def table(self) -> list[dict[str, Any]]:
        """Return the figures by key, as plain data; lengths in mm."""
        return [
            {
                "svg": drawing.svg,
                "alt": drawing.alt,
                "wide": drawing.width_mm,
                "high": drawing.height_mm,
                "left": drawing.origin_mm[0],
                "top": drawing.origin_mm[1],
                "roles": list(roles),
            }
            for drawing, roles in self._drawings
        ]

    def marks(self) -> list[dict[str, Any]]:
        """Return the marks shown, each with its word, in the order of the key at a page's foot."""
        shown = {role for _, roles in self._drawings for role in roles}
        return [
            {
                "role": role,
                "word": word,
                "figure": self.add(mark_drawing(role, _KEY_MARK_MM, self.palette)),
            }
            for role, word in ROLES.items()
            if role in shown
        ]


def roles_of(shape: Voicing, chord: Chord | None, *, open_too: bool = False) -> set[str]:
    """Return the roles of a shape's notes; of its fretted ones where open strings bear no mark."""
    return {
        role_of(chord, midi % 12)
        for fret, midi in zip(shape.frets, shape.midi, strict=True)
        if midi is not None and (fret or open_too)
    }
