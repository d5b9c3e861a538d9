"""The figures of a page: ids of the page's own, sizes as classes, each shape once.

Conventions.  A page with a strict content policy refuses ``style="..."`` on an element, so every
declaration is kept once in the page's own style sheet and the element bears a class.
"""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from harmonykit.draw.base.style import POINTS_PER_MM
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box_look import BoxLook
from harmonykit.draw.svg import write_body, write_figure
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.hands.fingering import Fingering
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan.shown import Shown, bare_diagram, diagram

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
    """The drawings of one page; ``ids`` says whether their parts have ids beside their names."""

    def __init__(self, styles: Styles, *, ids: bool = True) -> None:
        self.styles, self._ids = styles, ids
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
        look = BoxLook(size="chart", fingering=fingering, change=change)
        if isinstance(shown, Voicing):
            drawing = bare_diagram(shown, marks="fingers", look=look)
        else:
            drawing = diagram(shown, named=False, marks="fingers", look=look)
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
        return symbol, write_body(drawing.sheet, self._prefix())

    @property
    def symbols(self) -> Iterable[tuple[Symbol, str]]:
        """Every symbol with what is drawn in it."""
        return self._symbols.values()
