"""The figures of a page: each shape once, ids of the page's own, captions and keys.

Conventions.  A page with a strict content policy refuses ``style="..."`` on an element, so every
declaration is kept once in the page's own style sheet and the element bears a class.

What a box sounds is read from the ids of its marks (``string-2-fret-3``); the neck is heard shape
by shape, as the lesson's scale is carried up it.
"""

from collections.abc import Hashable, Iterable
from functools import lru_cache

from harmonykit.draw.base.fonts import POINTS_PER_MM
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.draw.svg import write_body, write_figure
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan.model import Front, Picture
from harmonykit.lesson.plan.shown import Shown, bare_diagram, diagram
from harmonykit.lesson.plan.starts import climb
from harmonykit.values import dataclass

PX_PER_MM = 96 / 25.4
_MARK_ROOM_MM = 2.2


class Styles:
    """Declarations, each once, and the class that stands for it, ``before`` which a text stands.

    Examples
    --------
    >>> styles = Styles()
    >>> styles.named("fill: none"), styles.named("flex: 2"), styles.named("fill: none")
    ('k0', 'k1', 'k0')
    >>> styles.css
    '.k0{fill: none}.k1{flex: 2}'
    """

    def __init__(self, before: str = "") -> None:
        self._names: dict[str, str] = {}
        self._before = before

    def named(self, declarations: str) -> str:
        """Return the class that bears these declarations."""
        return self._names.setdefault(
            declarations.strip("; "), f"{self._before}k{len(self._names)}"
        )

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
    """The drawings of one page; ``ids`` says whether their parts have ids beside their names.

    Where ``left_handed``, shapes are mirror images, for left-handed players.
    """

    def __init__(self, styles: Styles, *, ids: bool = True, left_handed: bool = False) -> None:
        self.styles, self._ids, self.left_handed = styles, ids, left_handed
        self._count = 0
        self._symbols: dict[Hashable, tuple[Symbol, str]] = {}

    def inline(self, drawing: Drawing) -> str:
        """Return a drawing as an ``<svg>`` element for the page."""
        size = f"width:{drawing.width_mm:g}mm;height:{drawing.height_mm:g}mm"
        return write_figure(drawing.sheet, self._prefix(), f"drawing {self.styles.named(size)}")

    def _prefix(self) -> str | None:
        """Return what stands before the ids of the next figure, or nothing for no ids."""
        self._count += 1
        return f"f{self._count}-" if self._ids else None

    def symbol(
        self,
        shown: Shown | Voicing,
        fingering: Fingering | None = None,
        change: Change | None = None,
    ) -> Symbol:
        """Return a shape's box with the fingers of its place, each drawn once for the whole page.

        ``change`` is what the fingers do on the way to it; a melody note alone has no chord.
        """
        look = change and (change.kept, change.slid)
        shape = shown if isinstance(shown, Voicing) else shown.shape
        key = (shape, fingering or shape.fingering, look or ((), ()))
        if key not in self._symbols:
            self._symbols[key] = self._drawn(shown, fingering, change)
        return self._symbols[key][0]

    def _drawn(
        self, shown: Shown | Voicing, fingering: Fingering | None, change: Change | None
    ) -> tuple[Symbol, str]:
        drawn = (shown, fingering, change, self.left_handed)
        drawing = _box(*drawn)
        # A fret's number stands on one side: on the other a mark's half width is room enough.
        room = drawing.origin_mm[0]
        spare = max(0.0, room - _MARK_ROOM_MM)
        shape = shown if isinstance(shown, Voicing) else shown.shape
        x = spare if self.left_handed or shape.instrument.left_handed else 0.0
        wide, high = drawing.width_mm - spare, drawing.height_mm
        width, height = round(wide * PX_PER_MM, 1), round(high * PX_PER_MM, 1)
        symbol = Symbol(
            name=f"shape-{len(self._symbols)}",
            view=f"0 0 {wide * POINTS_PER_MM:.2f} {high * POINTS_PER_MM:.2f}",
            width=width,
            height=height,
            left=(room - x) * PX_PER_MM,
            size=self.styles.named(f"width:{width}px;height:{height}px"),
        )
        body = write_body(drawing.sheet, self._prefix()) if self._ids else _bare(*drawn)
        if x:
            body = f'<g transform="translate({-x * POINTS_PER_MM:.2f} 0)">{body}</g>'
        return symbol, body

    @property
    def symbols(self) -> Iterable[tuple[Symbol, str]]:
        """Every symbol with what is drawn in it."""
        return self._symbols.values()


_Drawn = tuple[Shown | Voicing, Fingering | None, Change | None, bool]


@lru_cache(maxsize=1024)
def _box(*drawn: *_Drawn) -> Drawing:
    """Return a shape's box; once for all pages, as a panel shows most of them again and again."""
    shown, fingering, change, left = drawn
    look = BoxLook("chart", fingering=fingering, change=change, left_handed=left or None)
    if isinstance(shown, Voicing):
        return bare_diagram(shown, marks="fingers", look=look)
    return diagram(shown, named=False, marks="fingers", look=look)


@lru_cache(maxsize=1024)
def _bare(*drawn: *_Drawn) -> str:
    """Return what is drawn in a shape's box, without ids."""
    return write_body(_box(*drawn).sheet, None)


# Wider ones keep their size and scroll sideways in their own frame.
_WIDE_MM = 85


@dataclass(frozen=True, slots=True)
class FigureView:
    """A drawing on the page.

    ``frets`` are the shapes heard, one after the other; a caption has a line for each of its parts.
    """

    svg: str
    captions: tuple[str, ...]
    frets: str
    heard: str
    wide: bool


def view_figures(picture: Picture, front: Front, figures: Figures) -> tuple[FigureView, ...]:
    """Return what the template needs to set a picture."""
    pairs = zip(picture.for_hand(left=figures.left_handed), picture.captions, strict=True)
    return tuple(
        _view(drawing, caption, picture.heard or heard(drawing, front), figures)
        for drawing, caption in pairs
    )


def _view(drawing: Drawing, caption: str, shapes: tuple[str, ...], figures: Figures) -> FigureView:
    name = drawing.alt.partition(":")[0] if len(shapes) == 1 else "the shapes in order"
    lines = tuple(part for part in caption.split("; ") if part)
    wide = drawing.width_mm > _WIDE_MM
    return FigureView(figures.inline(drawing), lines, " ".join(shapes), name, wide)


def heard(drawing: Drawing, front: Front) -> tuple[str, ...]:
    """Return the shapes that a drawing sounds, in digits, in the order in which they come."""
    marks = [place for name in drawing.sheet.ids if (place := _place(name))]
    strings = [string for string, _ in marks]
    if not marks:
        return ()
    if sorted(strings) == list(range(1, len(front.instrument.strings) + 1)):
        return ("-".join(fret or "x" for _, fret in sorted(marks)),)
    places = {(string - 1, int(fret)) for string, fret in marks if fret}
    shapes = [shown.shape for shown in climb(front)]
    drawn = {
        (s, fret) for shape in shapes for s, fret in enumerate(shape.frets) if fret is not None
    }
    return tuple(shape.digits for shape in shapes) if places == drawn else ()


def _place(name: str) -> tuple[int, str] | None:
    """Return the string and the fret of a mark's id, the fret empty where it is muted.

    Examples
    --------
    >>> _place("string-2-fret-3"), _place("string-4-muted"), _place("string-1-was-2")
    ((2, '3'), (4, ''), None)
    """
    match name.split("-"):
        case ["string", string, "fret", fret]:
            return int(string), fret
        case ["string", string, "muted"]:
            return int(string), ""
    return None
