"""A figure as values: groups, paths, marks and texts on a sheet.

Conventions.  The origin is the top left corner of the sheet, x runs right and y runs down, both in
mm at final size; type is in points.  Colours are tokens (``ink``, ``third``).  A part may have an
id (``string-2-fret-3``), which is its own on the sheet, and a role, which it shares with others of
its kind.  What comes later lies above what came before.  Every place is that on the sheet: a part
is moved by making it anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple, TypeVar

from harmonykit.draw.base.fonts import POINTS_PER_MM, REGULAR, text_width
from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass, replace

Point = tuple[float, float]
Anchor = Literal["left", "center", "right"]
# A step of an outline: "M" moves, "L" draws a line, "Q" and "C" curves by their control points and
# their end, "Z" closes.
Step = tuple[str, tuple[Point, ...]]
Outline = tuple[Step, ...]
# How far the control points of a quarter of a circle lie from its ends, in radii.
_QUARTER = 0.5522847498


class Box(NamedTuple):
    """The least upright rectangle about something, in mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def middle(self) -> Point:
        """Its middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top


@dataclass(frozen=True, slots=True)
class Path:
    """Lines and areas: an outline, its colours by token, its line's width and dashes in mm.

    One with neither fill nor stroke is unseen: a click can meet it.
    """

    outline: Outline
    fill: str = ""
    stroke: str = ""
    width: float = 0.0
    dash: tuple[float, ...] = ()
    join: Literal["round", "miter"] = "round"
    cap: Literal["butt", "round"] = "butt"
    opacity: float = 1.0
    id: str = ""
    role: str = ""

    @property
    def points(self) -> tuple[Point, ...]:
        """Where each step ends."""
        return tuple(points[-1] for _, points in self.outline if points)

    @property
    def ends(self) -> tuple[Point, Point]:
        """Where it begins and where it ends."""
        return self.points[0], self.points[-1]

    @property
    def box(self) -> Box:
        """Where its middle line lies; of a curve, where its control points do."""
        return _about([point for _, points in self.outline for point in points])

    def strokes(self) -> tuple[tuple[Point, ...], ...]:
        """Return its polylines: the points of each, from one move to the next."""
        found: list[list[Point]] = []
        for letter, points in self.outline:
            if letter == "M":
                found.append([])
            found[-1].extend(points[-1:])
        return tuple(map(tuple, found))

    def moved(self, right: float, down: float) -> Path:
        """Return the path at another place."""
        outline = tuple(
            (letter, tuple((x + right, y + down) for x, y in points))
            for letter, points in self.outline
        )
        return replace(self, outline=outline)


@dataclass(frozen=True, slots=True)
class Text:
    """A run of text, set by its baseline; ``anchor`` says which part of it is at ``x``."""

    x: float
    baseline: float
    text: str
    size: float
    weight: int = REGULAR
    colour: str = "ink"
    anchor: Anchor = "center"
    italic: bool = False
    id: str = ""
    role: str = ""

    @property
    def box(self) -> Box:
        """Its width and its em, a fifth of it below the baseline."""
        wide, em = text_width(self.text, self.size, self.weight), self.size / POINTS_PER_MM
        left = self.x - {"left": 0.0, "center": wide / 2, "right": wide}[self.anchor]
        return Box(left, self.baseline - 0.8 * em, left + wide, self.baseline + 0.2 * em)

    def moved(self, right: float, down: float) -> Text:
        """Return the text at another place."""
        return replace(self, x=self.x + right, baseline=self.baseline + down)


@dataclass(frozen=True, slots=True)
class Group:
    """Parts under one id and role; ``alt`` says for the ear what they are."""

    parts: tuple[Part, ...]
    id: str = ""
    role: str = ""
    alt: str = ""

    @property
    def box(self) -> Box:
        """Where its parts lie."""
        return _about(_corners(self.parts))

    def moved(self, right: float, down: float) -> Group:
        """Return the group at another place."""
        return replace(self, parts=tuple(part.moved(right, down) for part in self.parts))


@dataclass(frozen=True, slots=True)
class Mark:
    """The mark of a role at a place, of the size ``d`` in mm, perhaps with a letter in it."""

    role: str
    x: float
    y: float
    d: float
    parts: tuple[Path | Text, ...]
    id: str = ""

    @property
    def letter(self) -> str:
        """What stands in it."""
        return "".join(part.text for part in self.parts if isinstance(part, Text))

    @property
    def box(self) -> Box:
        """Where it lies."""
        return _about(_corners(self.parts))

    def moved(self, right: float, down: float) -> Mark:
        """Return the mark at another place."""
        parts = tuple(part.moved(right, down) for part in self.parts)
        return replace(self, x=self.x + right, y=self.y + down, parts=parts)


Part = Group | Path | Mark | Text
_Kind = TypeVar("_Kind", Group, Path, Mark, Text)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole figure: its size in mm, its parts, its title, and in words what it says."""

    width: float
    height: float
    parts: tuple[Part, ...]
    title: str = ""
    alt: str = ""

    def __hash__(self) -> int:
        # Sheets are looked up while someone types: their parts are compared, and seldom.
        return hash((self.width, self.height, self.title, self.alt))

    def walk(self) -> Iterator[Part]:
        """Yield every part from below to above, a group before what is in it."""
        return walk(self.parts)

    def all(self, kind: type[_Kind], role: str | None = None, *, within: str = "") -> list[_Kind]:
        """Return the parts of a kind from below to above.

        Parameters
        ----------
        kind : type
        role : str, optional
            Theirs alone.
        within : str
            The id of what they are in; the whole sheet where not given.
        """
        parts = walk([self.find(within)]) if within else self.walk()
        return [p for p in parts if isinstance(p, kind) and (role is None or p.role == role)]

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of its parts, from below to above."""
        return tuple(part.id for part in self.walk() if part.id)

    @property
    def texts(self) -> tuple[str, ...]:
        """What is written on it, from below to above."""
        return tuple(text.text for text in self.all(Text))

    def find(self, name: str) -> Part:
        """Return the part of an id.

        Raises
        ------
        HarmonyError
            If no part has it.
        """
        for part in self.walk():
            if part.id == name:
                return part
        raise HarmonyError(f"the figure has no part {name!r}", mend=", ".join(self.ids))


def walk(parts: Iterable[Part]) -> Iterator[Part]:
    """Yield parts and what is in them, from below to above."""
    for part in parts:
        yield part
        if isinstance(part, (Group, Mark)):
            yield from walk(part.parts)


def renamed(part: Part, prefix: str) -> Part:
    """Return a part with every id in it behind a prefix."""
    named = replace(part, id=prefix + part.id) if part.id else part
    if isinstance(named, Group):
        return replace(named, parts=tuple(renamed(each, prefix) for each in named.parts))
    return named


def polyline(points: Sequence[Point], *, closed: bool = False) -> Outline:
    """Return the outline that joins some points.

    Examples
    --------
    >>> polyline([(0, 0), (1, 0)], closed=True)
    (('M', ((0, 0),)), ('L', ((1, 0),)), ('Z', ()))
    """
    steps: list[Step] = [("L" if index else "M", (point,)) for index, point in enumerate(points)]
    return (*steps, ("Z", ())) if closed else tuple(steps)


def ring(x: float, y: float, across: float) -> Outline:
    """Return the outline of a circle about a point, from its top turning right."""
    r, k = across / 2, across / 2 * _QUARTER
    return (
        ("M", ((x, y - r),)),
        ("C", ((x + k, y - r), (x + r, y - k), (x + r, y))),
        ("C", ((x + r, y + k), (x + k, y + r), (x, y + r))),
        ("C", ((x - k, y + r), (x - r, y + k), (x - r, y))),
        ("C", ((x - r, y - k), (x - k, y - r), (x, y - r))),
        ("Z", ()),
    )


def rounded(x: float, y: float, width: float, height: float, corner: float) -> Outline:
    """Return the outline of a rectangle with round corners, given by its top left corner."""
    right, bottom = x + width, y + height
    return (
        ("M", ((x, y + corner),)),
        ("Q", ((x, y), (x + corner, y))),
        ("L", ((right - corner, y),)),
        ("Q", ((right, y), (right, y + corner))),
        ("L", ((right, bottom - corner),)),
        ("Q", ((right, bottom), (right - corner, bottom))),
        ("L", ((x + corner, bottom),)),
        ("Q", ((x, bottom), (x, bottom - corner))),
        ("Z", ()),
    )


def _corners(parts: Iterable[Part]) -> list[Point]:
    boxes = [part.box for part in parts]
    return [point for box in boxes for point in (box[:2], box[2:])]


def _about(points: Sequence[Point]) -> Box:
    if not points:
        raise HarmonyError("a part without points has no position")
    across, down = [x for x, _ in points], [y for _, y in points]
    return Box(min(across), min(down), max(across), max(down))
