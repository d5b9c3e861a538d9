"""A tree as SVG: as a file of its own, or as a part of a page with the page's colours and ids.

Conventions.  The unit of what is written is the point, 1/72 inch.  The same tree gives the same
bytes.

Conventions.  A page with a strict content policy refuses ``style="..."`` on an element, so looks
are attributes.  Colours are the variables of ``harmonykit.draw.base.colours``.  What a part stands
for (``string-2-fret-3``) is its ``data-part``: the page plays it when it is clicked.
"""

from collections.abc import Iterable, Iterator, Mapping
from html import escape

from harmonykit.draw.base.colours import palette
from harmonykit.draw.base.fonts import FAMILIES, POINTS_PER_MM, REGULAR
from harmonykit.draw.tree import Group, Mark, Part, Path, Sheet, Text
from harmonykit.values import dataclass, field

_ANCHORS = {"left": "", "center": "middle", "right": "end"}
Attributes = Iterable[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Pen:
    """How parts are written: the value of each colour token, what stands before each id."""

    prefix: str = ""
    colours: Mapping[str, str] = field(default_factory=dict)

    def named(self, part: Part) -> Attributes:
        """Yield the attributes that say which part it is."""
        if part.id:
            yield "id", self.prefix + part.id
        yield from said(part)


def said(part: Part) -> Attributes:
    """Yield what is said of a part beside its id: its role as a class, its words for the ear."""
    if part.role and not isinstance(part, Mark):
        yield "class", part.role
    if isinstance(part, Group) and part.alt:
        yield "role", "img"
        yield "aria-label", part.alt


def write_svg(
    sheet: Sheet,
    colours: Mapping[str, str],
    prefix: str = "",
    *,
    most: float | None = None,
    looks: Attributes = (),
    style: str = "",
) -> str:
    """Return a figure as one ``<svg>`` element with live text.

    Parameters
    ----------
    sheet : Sheet
    colours : mapping of str to str
        The value of each colour token.
    prefix : str
        What stands before each id.
    most : float, optional
        How wide it is shown at most, in mm.
    looks : iterable of pairs
        Attributes of the whole figure.
    style : str
        What stands before all that is drawn.
    """
    scale = 1.0 if most is None else min(1.0, most / sheet.width)
    head = [
        ("xmlns", "http://www.w3.org/2000/svg"),
        *looks,
        ("width", f"{sheet.width * scale:.3f}mm"),
        ("height", f"{sheet.height * scale:.3f}mm"),
        ("viewBox", f"0 0 {sheet.width * POINTS_PER_MM:.3f} {sheet.height * POINTS_PER_MM:.3f}"),
        ("role", "img"),
        ("aria-label", sheet.alt),
        *ROOT,
    ]
    words = f"<title>{escape(sheet.title)}</title>\n<desc>{escape(sheet.alt)}</desc>\n"
    drawn = write_parts(sheet.parts, Pen(prefix, colours))
    return f"{opened('svg', head)}\n{style}{words}{drawn}</svg>"


# What every part of a figure inherits.
ROOT = (("font-family", FAMILIES), ("stroke-linejoin", "round"))


def write_parts(parts: Iterable[Part], pen: Pen) -> str:
    """Return parts as SVG elements, a line each."""
    return "".join(_lines(parts, pen))


def _lines(parts: Iterable[Part], pen: Pen) -> Iterator[str]:
    for part in parts:
        match part:
            case Text():
                if part.text:
                    text = escape(part.text, quote=False)
                    yield f"{opened('text', _text(part, pen))}{text}</text>\n"
            case Path():
                yield f"{opened('path', _path(part, pen))[:-1]}/>\n"
            case Mark(id=""):
                yield from _lines(part.parts, pen)
            case Group() | Mark():
                yield f"{opened('g', pen.named(part))}\n"
                yield from _lines(part.parts, pen)
                yield "</g>\n"


def _text(part: Text, pen: Pen) -> Attributes:
    yield from pen.named(part)
    yield "x", points(part.x)
    yield "y", points(part.baseline)
    yield "font-size", f"{part.size:g}"
    if part.weight != REGULAR:
        yield "font-weight", str(part.weight)
    if part.italic:
        yield "font-style", "italic"
    if _ANCHORS[part.anchor]:
        yield "text-anchor", _ANCHORS[part.anchor]
    yield "fill", pen.colours[part.colour]


def _path(part: Path, pen: Pen) -> Attributes:
    yield from pen.named(part)
    yield "d", path_data(part.outline)
    yield "fill", pen.colours[part.fill] if part.fill else "none"
    if part.opacity != 1.0:
        yield "fill-opacity", f"{part.opacity:g}"
    if part.stroke:
        yield "stroke", pen.colours[part.stroke]
        yield "stroke-width", points(part.width)
        if part.dash:
            yield "stroke-dasharray", " ".join(map(points, part.dash))
        if part.join != "round":
            yield "stroke-linejoin", part.join
        if part.cap != "butt":
            yield "stroke-linecap", part.cap
    elif not part.fill:
        yield "pointer-events", "all"


def path_data(outline: Iterable[tuple[str, tuple[tuple[float, float], ...]]]) -> str:
    """Return an outline in mm as path data in points.

    Examples
    --------
    >>> path_data([("M", ((0, 0),)), ("L", ((25.4, 12.7),)), ("Z", ())])
    'M0 0L72 36Z'
    """
    return "".join(
        letter + " ".join(f"{points(x)} {points(y)}" for x, y in at) for letter, at in outline
    )


def opened(tag: str, attributes: Attributes) -> str:
    """Return the opening tag of an element."""
    written = (f' {name}="{quoted(value)}"' for name, value in attributes)
    return f"<{tag}{''.join(written)}>"


def quoted(value: str) -> str:
    """Return a text as it stands between double quotes."""
    return escape(value, quote=False).replace('"', "&quot;")


def points(mm: float) -> str:
    """Return a length in mm as points, to a hundredth.

    Examples
    --------
    >>> points(25.4), points(-0.001), points(1)
    ('72', '0', '2.83')
    """
    text = f"{mm * POINTS_PER_MM:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


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
