"""A picture that is drawn once, and what changes on it: looks by id.

A scene is a background, lines whose course may change, and spots: places with an id (``pc-0``,
``string-2-fret-3``) at which a mark and a letter stand.  A *look* says which mark a spot has at the
moment, its letter, and its name for the ear.  Python sends looks by id; the browser changes classes
and letters, and never draws.  Lengths are in mm, sizes of type in points; the marks are those of
``harmonykit.draw.base.marks``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from html import escape
from typing import NamedTuple

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.marks import mark_drawing
from harmonykit.draw.base.roles import ROLES
from harmonykit.draw.base.style import FAMILIES, LABEL_PT, POINTS_PER_MM, REGULAR, SEMIBOLD, palette
from harmonykit.draw.drawing import Drawing

_MARK_MM = 10.0
_CAP_MIDDLE_EM = 0.327
_BODY = re.compile(r"</desc>\s*(.*)</svg>", re.S)
# Ids would be met twice where two panels stand on a page: only marks have one, made unique there.
MARK_ID = "hk-mark-"
# A mark that also says that a walk has come here.
HERE = "-here"


class Look(NamedTuple):
    """What a spot looks like: its mark's role, its letter, its name for the ear, where it is.

    Parameters
    ----------
    role : str
        ``"off"`` for a letter alone, ``"none"`` for nothing, else a mark.
    text : str
    name : str
        What a screen reader says.
    on : bool
        Whether it counts as pressed.
    at : tuple of float
        Another place than the spot's own, or nothing.
    """

    role: str = "none"
    text: str = ""
    name: str = ""
    on: bool = False
    at: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """A place with an id.

    Parameters
    ----------
    id : str
    x, y : float
    mark : float
        The size d of its mark.
    point : float
        Size of its letter.
    press : bool
        Whether it can be pressed.
    across : float
        How wide the place for the finger is.
    anchor : {"middle", "start", "end"}
    tall : float
        How high the place for the finger is, where it is not a square.
    shift : float
        How far right of its place the letter is.
    """

    id: str
    x: float
    y: float
    mark: float = 6.6
    point: float = LABEL_PT
    press: bool = True
    across: float = 8.0
    anchor: str = "middle"
    tall: float = 0.0
    shift: float = 0.0


@dataclass(frozen=True, slots=True)
class Line:
    """A line whose course is sent: width in mm, colour by token, dashes in mm."""

    id: str
    width: float
    colour: str = "ink"
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Shown:
    """What is on a scene at one moment.

    Parameters
    ----------
    looks : mapping of str to Look
        Spots that are not named look like nothing.
    lines : mapping of str to str
        The course of each line that is there, as SVG path data in points.
    facts : str
        One line that says all that the picture shows; of a panel that asks, a few lines.
    lead : str
        What stands above the controls: a question, say.
    """

    looks: Mapping[str, Look]
    lines: Mapping[str, str]
    facts: str
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Scene:
    """A picture that is drawn once.

    Parameters
    ----------
    width, height : float
    background : str
        SVG elements, in points.
    spots : tuple of Spot
    lines : tuple of Line
        They lie under the spots.
    marks : mapping of str to str
        Marks beside the usual ones: SVG elements about the origin, in points at their own size.
    title : str
    """

    width: float
    height: float
    background: str
    spots: tuple[Spot, ...]
    lines: tuple[Line, ...] = ()
    marks: Mapping[str, str] = field(default_factory=dict)
    title: str = ""

    def live(self) -> str:
        """Return the SVG for a panel: every spot is there, and looks like nothing yet."""
        inner = "".join(_line(line, "") for line in self.lines)
        inner += "".join(self._spot(spot, Look(), True) for spot in self.spots)
        return self._svg(inner, f'role="group" aria-label="{escape(self.title)}"')

    def still(self, shown: Shown) -> Drawing:
        """Return the picture of one moment, which stands alone."""
        inner = "".join(
            _line(line, shown.lines[line.id]) for line in self.lines if shown.lines.get(line.id)
        )
        seen = [(spot, shown.looks[spot.id]) for spot in self.spots if spot.id in shown.looks]
        inner += "".join(self._spot(spot, look, False) for spot, look in seen)
        label = f'role="img" aria-label="{escape(shown.facts)}"'
        return Drawing.of(self._svg(inner, label, seen), shown.facts, self.width, self.height)

    def _spot(self, spot: Spot, look: Look, live: bool) -> str:
        x, y = look.at or (spot.x, spot.y)
        colour, weight = style_of(look.role)
        scale = 1.0 if look.role in self.marks else spot.mark / _MARK_MM
        head = f'data-part="{spot.id}"' if live else f'id="{spot.id}"'
        text = (
            f'<text x="{_points(spot.shift)}" y="{_CAP_MIDDLE_EM * spot.point:.2f}"'
            f' font-size="{spot.point:g}"'
            f' text-anchor="{spot.anchor}" font-weight="{weight}" fill="{colour}">'
            f"{escape(look.text)}</text>"
        )
        use = f'<use href="#{MARK_ID}{look.role}" transform="scale({scale:.3f})"/>'
        if live:
            use = f'<use transform="scale({spot.mark / _MARK_MM:.3f})"/>' + _hit(spot)
        elif look.role not in self.marks and look.role not in ROLES:
            use = ""
        press = ' data-press="1"' if live and spot.press else ""
        place = f"translate({_points(x)} {_points(y)})"
        return f'<g {head}{press} class="{look.role}" transform="{place}">{use}{text}</g>\n'

    def _svg(self, inner: str, label: str, seen: Sequence[tuple[Spot, Look]] | None = None) -> str:
        wanted = None if seen is None else {look.role for _, look in seen}
        marks, own = {**_marks(), **self.marks}, ' data-own="1"'
        defs = "".join(
            f'<g id="{MARK_ID}{role}"{own if role in self.marks else ""}>{body}</g>'
            for role, body in marks.items()
            if wanted is None or role in wanted
        )
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width:.3f}mm"'
            f' height="{self.height:.3f}mm" viewBox="0 0 {_points(self.width)}'
            f' {_points(self.height)}" {label} font-family="{FAMILIES}" stroke-linejoin="round">\n'
            f"<defs>{defs}</defs>\n{self.background}\n{inner}</svg>"
        )


def background(canvas: Canvas) -> str:
    """Return what was drawn on a canvas as elements for a scene."""
    return _body(canvas.drawing("background", ""))


def path(points: Sequence[Sequence[float]], closed: bool = False) -> str:
    """Return path data in points for a polyline in mm.

    Examples
    --------
    >>> path([(0, 0), (25.4, 0)])
    'M0.00 0.00L72.00 0.00'
    """
    steps = [f"{_points(x)} {_points(y)}" for x, y in points]
    return ("M" + "L".join(steps) + ("Z" if closed else "")) if steps else ""


def style_of(role: str) -> tuple[str, int]:
    """Return colour and weight of the letter that stands on a mark."""
    token, weight = _LETTERS.get(role.removesuffix(HERE), ("paper", SEMIBOLD))
    return palette("colour").tokens[token], weight


# Letters on solid marks are in the paper's colour; what is off is soft and light.
_LETTERS = {
    "off": ("soft", REGULAR),
    "none": ("ink", SEMIBOLD),
    "plain": ("ink", REGULAR),
    "fifth": ("ink", SEMIBOLD),
    "tension": ("tension", SEMIBOLD),
    "was": ("ink", SEMIBOLD),
    "box": ("ink", SEMIBOLD),
    "cell-two": ("ink", SEMIBOLD),
    "cell-picked": ("soft", REGULAR),
    "open": ("ink", SEMIBOLD),
    "open-bold": ("ink", SEMIBOLD),
    "dashed": ("ink", REGULAR),
    "head": ("ink", REGULAR),
    "head-moved": ("ink", REGULAR),
    "picked": ("ink", SEMIBOLD),
    "cell": ("soft", REGULAR),
}


def letters() -> dict[str, tuple[str, int]]:
    """Return the table of letters for the browser: role to colour and weight."""
    here = {f"{role}{HERE}": look for role, look in _LETTERS.items()}
    roles = {**_LETTERS, **here, "": ("paper", SEMIBOLD)}
    return {role: (f"var(--{token})", weight) for role, (token, weight) in roles.items()}


@lru_cache(maxsize=1)
def _marks() -> dict[str, str]:
    """Return each mark of the project about the origin, at d = 10 mm."""
    back = -0.7 * _MARK_MM
    shift = f"translate({_points(back)} {_points(back)})"
    return {
        role: f'<g transform="{shift}">{_body(mark_drawing(role, _MARK_MM))}</g>' for role in ROLES
    }


def _body(drawing: Drawing) -> str:
    found = _BODY.search(drawing.svg)
    return found[1].strip() if found else ""


def _line(line: Line, course: str) -> str:
    dash = " ".join(_points(length) for length in line.dash)
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    colour = palette("colour").tokens[line.colour]
    return (
        f'<path data-line="{line.id}" d="{course}" fill="none"{dashes}'
        f' stroke="{colour}" stroke-width="{_points(line.width)}"/>\n'
    )


def _hit(spot: Spot) -> str:
    """Return the place for finger and mouse, which also shows where the keyboard is."""
    wide, high = spot.across, spot.tall or spot.across
    return (
        f'<rect class="hit" x="{_points(-wide / 2)}" y="{_points(-high / 2)}" rx="3"'
        f' width="{_points(wide)}" height="{_points(high)}" fill="none" pointer-events="all"/>'
    )


def _points(mm: float) -> str:
    return f"{mm * POINTS_PER_MM:.2f}"
