"""One chord of a chart: its name, box, figures and slashes, and the room that they need.

Lengths in mm; x runs right from the left edge of the cell.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from harmonykit.arrange.arrangement import Step
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.base.style import LABEL_PT, NAME_PT, SEMIBOLD, SMALL_PT
from harmonykit.draw.drawing import Drawing
from harmonykit.fretboard.shapes.window import window
from harmonykit.lesson.handout.figures import Figures

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
