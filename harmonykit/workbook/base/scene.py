"""What a panel shows: a picture drawn once, what changes on it by id, and its controls.

A scene is a background, lines whose course may change, and spots: places with an id (``pc-0``,
``string-2-fret-3``) at which a mark and a letter stand.  A *look* says which mark a spot has at the
moment, its letter, and its name for the ear.  Python sends looks by id; the browser changes classes
and letters, and never draws.  Lengths are in mm, sizes of type in points; the marks are those of
``harmonykit.draw.base.marks``.
"""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from harmonykit.draw.base.canvas import CAP_MIDDLE_EM, LABEL_PT, Canvas, Drawing
from harmonykit.draw.base.fonts import REGULAR, SEMIBOLD
from harmonykit.draw.base.marks import ROLES, draw_mark
from harmonykit.draw.svg import ROOT, VARIABLES, Pen, opened, points, write_parts
from harmonykit.draw.tree import Anchor, Outline, Part, Path
from harmonykit.sound.chords import Pitches
from harmonykit.values import dataclass, field

_MARK_MM = 10.0
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
    lines : mapping of str to outline
        The course of each line that is there.
    facts : str
        One line that says all that the picture shows; of a panel that asks, a few lines.
    lead : str
        What stands above the controls: a question, say.
    """

    looks: Mapping[str, Look]
    lines: Mapping[str, Outline]
    facts: str
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Scene:
    """A picture that is drawn once.

    Parameters
    ----------
    width, height : float
    background : tuple of Part
    spots : tuple of Spot
    lines : tuple of Line
        They lie under the spots.
    marks : mapping of str to tuple of Part
        Marks beside the usual ones, about the origin and at their own size.
    title : str
    """

    width: float
    height: float
    background: tuple[Part, ...]
    spots: tuple[Spot, ...]
    lines: tuple[Line, ...] = ()
    marks: Mapping[str, tuple[Part, ...]] = field(default_factory=dict)
    title: str = ""

    def live(self) -> str:
        """Return the SVG for a panel: every spot is there, and looks like nothing yet.

        Its colours are variables, for light and dark.
        """
        pen = Pen(colours=VARIABLES)
        sides = {"width": f"{self.width:.3f}mm", "height": f"{self.height:.3f}mm"}
        view = {"viewBox": f"0 0 {points(self.width)} {points(self.height)}"}
        label = {"role": "group", "aria-label": self.title}
        names = {"xmlns": "http://www.w3.org/2000/svg", **sides, **view, **label}
        return "".join(
            (
                f"{opened('svg', [*names.items(), *ROOT])}\n<defs>",
                *(f"{_mark(role, parts, pen)}" for role, parts in _marks().items()),
                *(f"{_mark(role, parts, pen, own=True)}" for role, parts in self.marks.items()),
                f"</defs>\n{write_parts(self.background, pen)}",
                *(_line(line, pen) for line in self.lines),
                *(_spot(spot, pen) for spot in self.spots),
                "</svg>",
            )
        )

    def still(self, shown: Shown) -> Drawing:
        """Return the picture of one moment, which stands alone."""
        canvas = Canvas(self.width, self.height)
        for part in self.background:
            canvas.add(part)
        for line in self.lines:
            if course := shown.lines.get(line.id):
                canvas.add(Path(course, "", line.colour, line.width, line.dash, id=line.id))
        for spot in self.spots:
            if look := shown.looks.get(spot.id):
                with canvas.group(spot.id, look.role):
                    self._show(canvas, spot, look)
        return canvas.drawing(self.title, shown.facts)

    def _show(self, canvas: Canvas, spot: Spot, look: Look) -> None:
        """Draw the mark and the letter of a spot."""
        x, y = look.at or (spot.x, spot.y)
        if look.role in self.marks:
            for part in self.marks[look.role]:
                canvas.add(part.moved(x, y))
        elif look.role in ROLES:
            draw_mark(canvas, x, y, look.role, spot.mark)
        colour, weight = style_of(look.role)
        canvas.letter(
            x + spot.shift, y, look.text, spot.point,
            weight=weight, colour=colour, anchor=_ANCHORS[spot.anchor],
        )  # fmt: skip


_ANCHORS: dict[str, Anchor] = {"start": "left", "middle": "center", "end": "right"}


def joined(courses: Iterable[Outline]) -> Outline:
    """Return several courses as one."""
    return tuple(step for course in courses for step in course)


def style_of(role: str) -> tuple[str, int]:
    """Return the colour's token and the weight of the letter that stands on a mark."""
    return _LETTERS.get(role.removesuffix(HERE), ("paper", SEMIBOLD))


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
def _marks() -> dict[str, tuple[Part, ...]]:
    """Return each mark of the project about the origin, at d = 10 mm."""
    found = {}
    for role in ROLES:
        canvas = Canvas(_MARK_MM, _MARK_MM)
        draw_mark(canvas, 0.0, 0.0, role, _MARK_MM)
        found[role] = canvas.parts
    return found


def _mark(role: str, parts: tuple[Part, ...], pen: Pen, *, own: bool = False) -> str:
    named = [("id", MARK_ID + role), *([("data-own", "1")] if own else [])]
    return f"{opened('g', named)}{write_parts(parts, pen)}</g>"


def _line(line: Line, pen: Pen) -> str:
    looks = [("data-line", line.id), ("d", ""), ("fill", "none")]
    if line.dash:
        looks.append(("stroke-dasharray", " ".join(map(points, line.dash))))
    looks += [("stroke", pen.colours[line.colour]), ("stroke-width", points(line.width))]
    return f"{opened('path', looks)[:-1]}/>\n"


def _spot(spot: Spot, pen: Pen) -> str:
    """Return a spot without its looks: a mark to be named, a place to press, a letter."""
    colour, weight = style_of("none")
    group = {"data-part": spot.id, **({"data-press": "1"} if spot.press else {}), "class": "none"}
    group["transform"] = f"translate({points(spot.x)} {points(spot.y)})"
    letter = {
        "x": points(spot.shift),
        "y": f"{CAP_MIDDLE_EM * spot.point:.2f}",
        "font-size": f"{spot.point:g}",
        "text-anchor": spot.anchor,
        "font-weight": str(weight),
        "fill": pen.colours[colour],
    }
    scale = f'<use transform="scale({spot.mark / _MARK_MM:.3f})"/>'
    text = f"{opened('text', letter.items())}</text>"
    return f"{opened('g', group.items())}{scale}{_hit(spot)}{text}</g>\n"


def _hit(spot: Spot) -> str:
    """Return the place for finger and mouse, which also shows where the keyboard is."""
    wide, high = spot.across, spot.tall or spot.across
    sides = {"x": -wide / 2, "y": -high / 2, "width": wide, "height": high}
    looks = {"class": "hit", "rx": "3", "fill": "none", "pointer-events": "all"}
    named = [*looks.items(), *((side, points(mm)) for side, mm in sides.items())]
    return f"{opened('rect', named)[:-1]}/>"


Value = str | bool


@dataclass(frozen=True, slots=True)
class Control:
    """A button, a box to tick, a list to choose from, or a line to type in.

    Parameters
    ----------
    id : str
    kind : {"button", "check", "choice", "text", "copy"}
        One to copy is a button that puts its value on the clipboard.
    label : str
    value : str or bool
    options : tuple of str
        Of a choice.
    enter : str
        The button that the Enter key presses in a line to type in, once what was typed is set.
    printed : tuple of str
        How each option is shown, where that is not as it is typed: ``"E♭"`` for ``"Eb"``.
    """

    id: str
    kind: str
    label: str
    value: Value = ""
    options: tuple[str, ...] = ()
    enter: str = ""
    printed: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Return it as the browser reads it."""
        return {
            "id": self.id,
            "kind": self.kind,
            "label": self.label,
            "value": self.value,
            "options": list(self.options),
            "enter": self.enter,
            **({"printed": list(self.printed)} if self.printed else {}),
        }


def with_own(own: str, options: tuple[str, ...]) -> tuple[str, ...]:
    """Return what can be chosen, after what is chosen already where it is none of them.

    Examples
    --------
    >>> with_own("E", ("C", "D")), with_own("D", ("C", "D"))
    (('E', 'C', 'D'), ('C', 'D'))
    """
    return options if own in options else (own, *options)


HEAR = Control("hear", "button", "Hear it")
SHARE = "share"


@dataclass(frozen=True, slots=True)
class Standing:
    """All that a panel shows and sounds in a state."""

    scene: Scene
    shown: Shown
    controls: tuple[Control, ...]
    chords: tuple[Pitches, ...]
