"""The figures of a handout, each drawn once; and one chord of a chart, with the room that it needs.

A sheet names a figure by its key; the figures themselves travel once beside the pages.

A cell is a chord of a chart: its name, box, figures and slashes.  Lengths in mm; x runs right from
the left edge of the cell.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from harmonykit.arrange.arrangement import Step
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.marks import MARK_WORDS, mark_drawing, roles_drawn
from harmonykit.draw.base.style import LABEL_PT, NAME_PT, SEMIBOLD, SMALL_PT
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box_look import BoxLook
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.plan.shown import Shown, bare_diagram, diagram

LARGE = 1.6
"""How much larger the boxes and charts of large print are."""

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
        self, palette: str = "print", *, left_handed: bool = False, large: bool = False
    ) -> None:
        self.palette, self.left_handed, self.large = palette, left_handed, large
        self._places: dict[tuple[Drawing, float], int] = {}
        self._drawings: list[tuple[Drawing, float]] = []

    def box(self, shape: Shown | Voicing, look: BoxLook | None = None, **drawn: Any) -> Drawing:
        """Draw a shape, under its chord's name or under none, in this handout's palette and hand.

        In large print all have one size.
        """
        look = look or BoxLook()
        size = "sheet" if self.large else look.size
        drawn["look"] = replace(look, size=size, left_handed=self.left_handed)
        drawn["palette"] = self.palette
        if isinstance(shape, Voicing):
            return bare_diagram(shape, **drawn)
        return diagram(shape, **drawn)

    def add(self, drawing: Drawing, *, large: float = _LARGE_FIGURE) -> int:
        """Take in a figure; return its key.

        ``large`` is how many times larger it is set in large print.
        """
        key = (drawing, large if self.large else 1.0)
        if key not in self._places:
            self._places[key] = len(self._drawings)
            self._drawings.append(key)
        return self._places[key]

    def add_box(self, drawing: Drawing) -> int:
        """Take in a box from ``box`` that has its size already."""
        return self.add(drawing, large=1.0)

    def recoloured(self, drawing: Drawing) -> Drawing:
        """Return a figure that was drawn for the screen in this palette."""
        return replace(drawing, colours=self.palette)

    def table(self) -> list[dict[str, Any]]:
        """Return the figures by key, as plain data; lengths in mm as they are set."""
        return [
            {
                "svg": drawing.svg,
                "alt": drawing.alt,
                "wide": drawing.width_mm * scale,
                "high": drawing.height_mm * scale,
                "left": drawing.origin_mm[0] * scale,
                "top": drawing.origin_mm[1] * scale,
                "roles": list(roles_drawn([drawing])),
            }
            for drawing, scale in self._drawings
        ]

    def marks(self) -> list[dict[str, Any]]:
        """Return the marks shown, each with its word, in the order of the key at a page's foot."""
        shown = roles_drawn(drawing for drawing, _ in self._drawings)
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


NO_CHORD = "N.C."

_PAD_MM, _BARE_PAD_MM = 3.7, 2.2  # before a box, whose marks reach out, and before figures alone
_NUMBER_MM, _NUMBER_PAD_MM = 2.15, 1.3  # from a box to its fret's number, and on to the bar line
_MARK_MM = 3.2
_GAP_MM = 1.6
_SLASH_MM = 3.2
_END_MM = 2.0
_WIDE_BEAT_MM = 14.0


@dataclass(frozen=True, slots=True)
class Cell:
    """A chord of a bar.

    Parameters
    ----------
    step : Step
    box : Drawing or None
        None where the chord lasts on, and in a chart of figures alone.
    slashes : int
        The beats that fall while it lasts, its first moment left out.
    told : bool
        Whether the shape stands there as figures.
    left_handed : bool
        Whether the box is mirrored, so that a fret's number is at its right.
    bare : bool
        Whether the chart has figures alone, which stand closer and are larger.
    """

    step: Step
    box: Drawing | None
    slashes: int
    told: bool
    left_handed: bool = False
    bare: bool = False

    @property
    def name(self) -> str:
        """The printed symbol; none over a melody note alone."""
        if self.step.alone:
            return ""
        return self.step.chord.unicode if self.step.chord else NO_CHORD

    @property
    def digits(self) -> str:
        """The shape as figures; empty where it lasts on."""
        return self.step.voicing.digits if self.told and self.step.voicing else ""

    @property
    def _digits_wide(self) -> float:
        size = LABEL_PT if self.bare else SMALL_PT
        return text_width(self.digits, size)

    @property
    def _box_wide(self) -> float:
        return self.box.width_mm - 2 * self.box.origin_mm[0] if self.box else 0.0

    @property
    def _digits_over(self) -> float:
        """How far the figures reach past the outer strings of the box above them."""
        return max(0.0, (self._digits_wide - self._box_wide) / 2) if self.box else 0.0

    @property
    def _number(self) -> float:
        """How far a fret's number reaches past the outer string; 0 at the nut."""
        first = window(self.step.voicing.frets)[0] if self.box and self.step.voicing else 1
        return _NUMBER_MM + text_width(str(first), SMALL_PT) + _NUMBER_PAD_MM if first > 1 else 0.0

    @property
    def pad(self) -> float:
        """From the cell's left edge to its name and its first string."""
        if self.bare:
            return _BARE_PAD_MM
        number = 0.0 if self.left_handed else self._number
        return max(_PAD_MM, number, self._digits_over + 1.0)

    @property
    def name_end(self) -> float:
        """Where the name ends."""
        return self.pad + text_width(self.name, NAME_PT, SEMIBOLD)

    @property
    def need(self) -> float:
        """The least width in which nothing touches."""
        number = self._number - _NUMBER_PAD_MM if self.left_handed else 0.0
        over = max(_MARK_MM / 2, self._digits_over, number)
        figures = max(self._box_wide + over if self.box else 0.0, self._digits_wide)
        below = self.pad + figures + _GAP_MM if figures else 0.0
        return max(below, self.name_end + self.slashes * _SLASH_MM + _END_MM)

    def place(self, x: float, wide: float, figures: Figures) -> dict[str, Any]:
        """Return the cell as plain data, laid into a width at ``x``."""
        left = x + self.pad
        placed: dict[str, Any] = {
            "x": left,
            "name": self.name,
            "name-wide": self.name_end - self.pad,
            "inserted": self.step.added and self.step.chord != self.step.written,
            "slashes": list(self._slashes(x, wide)),
            "digits": self.digits,
            "middle": left + (self._box_wide if self.box else self._digits_wide) / 2,
        }
        if self.box and self.step.voicing:
            placed["box"] = figures.add(self.box)
        return placed

    def _slashes(self, x: float, wide: float) -> Iterator[float]:
        """Yield the middle of each slash: on its beat in a wide cell, else up to the cell's end."""
        if not self.slashes:
            return
        beat = wide / (self.slashes + 1)
        gap = min(beat, (wide - self.name_end - _END_MM) / self.slashes)
        end = wide - _END_MM - _SLASH_MM / 2
        if beat >= _WIDE_BEAT_MM and self.pad + beat > self.name_end + _END_MM:
            gap, end = beat, self.pad + self.slashes * beat + _SLASH_MM / 2
        yield from (x + end - gap * back for back in reversed(range(self.slashes)))
