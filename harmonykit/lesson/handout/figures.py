"""The figures of a handout, each drawn once.

A sheet names a figure by its key; the figures themselves travel once beside the pages.
"""

import re
from dataclasses import replace
from typing import Any

from harmonykit.draw.base.canvas import CAP_MIDDLE_EM
from harmonykit.draw.base.marks import MARK_WORDS, mark_drawing, roles_drawn
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan.pictures import MOST_MM, OwnPicture
from harmonykit.lesson.plan.shown import Shown, bare_diagram, diagram

LARGE = 1.6
"""How much larger the boxes and charts of large print are."""

LEAST_PT, LARGE_PT, TABLET_PT = 9.0, 16.0, 10.5
"""The least type on paper, in large print (UKAAF, Creating clear print and large print), and on a
tablet, whose glass shows a page at some nine tenths of its size."""

_FONT_SIZE = re.compile(r'font-size="([0-9.]+)"')
_FIGURE = re.compile(r'y="([0-9.]+)" font-size="([0-9.]+)"(?=[^>]*>\d+<)')
# The least type in a clock is 8.5 points, in large print 16 at least.
_LARGE_FIGURE = 2.0
_KEY_MARK_MM = 4.0
_LARGE_KEY = 1.6


class Figures:
    """Collects the figures of a handout, in one palette, for one hand and one size of print.

    Parameters
    ----------
    palette : str
        ``"print"``, or ``"one ink"`` for a school's copier.
    left_handed : bool
        Whether boxes and necks are mirrored.
    large : bool
        Whether figures are larger, and no text in them under 16 points.
    tablet : bool
        Whether they stand on a tablet, with no text under 10.5 points.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> shape, figures = Voicing.parse("2323", Instrument.named("ukulele")), Figures()
    >>> figures.add(figures.box(shape))
    0
    >>> figures.add(figures.box(shape))
    0
    >>> sorted(figures.table()[0])
    ['alt', 'high', 'left', 'roles', 'svg', 'top', 'wide']
    """

    def __init__(
        self,
        palette: str = "print",
        *,
        left_handed: bool = False,
        large: bool = False,
        tablet: bool = False,
    ) -> None:
        self.least = LARGE_PT if large else TABLET_PT if tablet else LEAST_PT
        self.palette, self.left_handed, self.large = palette, left_handed, large
        self._places: dict[tuple[Drawing | OwnPicture, float], int] = {}

    def box(
        self,
        shape: Shown | Voicing,
        look: BoxLook | None = None,
        *,
        small: bool = False,
        **drawn: Any,
    ) -> Drawing:
        """Draw a shape, under its chord's name or under none, in this handout's palette and hand.

        In large print all have one size, but for those that are to be ``small``.
        """
        look = look or BoxLook()
        size = "sheet" if self.large and not small else look.size
        drawn["look"] = replace(look, size=size, left_handed=self.left_handed)
        drawn["palette"] = self.palette
        if isinstance(shape, Voicing):
            return bare_diagram(shape, **drawn)
        return diagram(shape, **drawn)

    def pair(
        self,
        before: Shown | Voicing,
        after: Shown | Voicing,
        change: Change,
        look: BoxLook,
        *,
        small: bool = False,
    ) -> list[int]:
        """Take in two shapes, before and after, with what the fingers do between them."""
        was = before.shape if isinstance(before, Shown) else before
        drawn = (
            self.box(before, replace(look, fingering=change.before), small=small, marks="fingers"),
            self.box(after, replace(look, change=change), small=small, marks="fingers", was=was),
        )
        return [self.add_box(drawing) for drawing in drawn]

    def add(self, drawing: Drawing, *, large: float = _LARGE_FIGURE) -> int:
        """Take in a figure; return its key.

        ``large`` is how many times larger it is set in large print.
        """
        return self._taken(drawing, large)

    def add_box(self, drawing: Drawing) -> int:
        """Take in a box from ``box`` that has its size already."""
        return self.add(drawing, large=1.0)

    def add_own(self, picture: OwnPicture) -> int:
        """Take in a picture of the lesson's own; in large print it is larger, as far as it fits."""
        return self._taken(picture, min(LARGE, MOST_MM / picture.width_mm))

    def _taken(self, drawing: Drawing | OwnPicture, large: float) -> int:
        """Return the key of what is drawn, which is taken in once at each size."""
        key = (drawing, large if self.large else 1.0)
        return self._places.setdefault(key, len(self._places))

    def recoloured(self, drawing: Drawing) -> Drawing:
        """Return a figure that was drawn for the screen in this palette."""
        return replace(drawing, colours=self.palette)

    def table(self) -> list[dict[str, Any]]:
        """Return the figures by key, as plain data; lengths in mm as they are set."""
        return [
            _set(drawing, scale)
            if isinstance(drawing, OwnPicture)
            else {
                "svg": self._legible(drawing.svg, scale),
                "alt": drawing.alt,
                "wide": drawing.width_mm * scale,
                "high": drawing.height_mm * scale,
                "left": drawing.origin_mm[0] * scale,
                "top": drawing.origin_mm[1] * scale,
                "roles": list(roles_drawn([drawing])),
            }
            for drawing, scale in self._places
        ]

    def _legible(self, svg: str, scale: float) -> str:
        """Return a drawing with no letter under the least size of this print."""
        least = self.least / scale

        def grown(size: re.Match[str]) -> str:
            return f'font-size="{max(float(size[1]), least):.4g}"'

        def lower(figure: re.Match[str]) -> str:
            """Keep the number of a finger or a fret in the middle of its place."""
            down = CAP_MIDDLE_EM * max(0.0, least - float(figure[2]))
            return f'y="{float(figure[1]) + down:.4g}" font-size="{figure[2]}"'

        return _FONT_SIZE.sub(grown, _FIGURE.sub(lower, svg))

    def marks(self) -> list[dict[str, Any]]:
        """Return the marks shown, each with its word, in the order of the key at a page's foot."""
        drawn = (drawing for drawing, _ in self._places)
        shown = roles_drawn(each for each in drawn if not isinstance(each, OwnPicture))
        return [
            {
                "role": role,
                "word": word,
                "figure": self.add(
                    mark_drawing(role, _KEY_MARK_MM, self.palette), large=_LARGE_KEY
                ),
            }
            for role, word in MARK_WORDS.items()
            if role in shown
        ]


def _set(picture: OwnPicture, scale: float) -> dict[str, Any]:
    """Return a picture of the lesson's own as a figure, as it is set."""
    return {
        "svg": picture.svg, "alt": picture.alt, "wide": picture.width_mm * scale,
        "high": picture.high_mm * scale, "left": 0.0, "top": 0.0, "roles": [],
    }  # fmt: skip
