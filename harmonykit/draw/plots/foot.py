"""What stands under a plot: its key, and the sentences that say what to see.

Conventions.  Both are as wide as the figure; entries of the key and words go on in the next line
where one is full.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.fonts import broken, text_width
from harmonykit.draw.base.style import NOTE_PT, SMALL_PT
from harmonykit.errors import HarmonyError

LEAST_MM = 90.0
"""A telephone's width, less what a page leaves at its edges."""
SIDE_MM = 1.0
_LINE_MM, _SAMPLE_MM, _APART_MM = 4.3, 4.2, 4.0

Sample = Callable[[Canvas, float, float, str], None]
"""Draws the sample of a kind from a place on, in the middle of a line."""


def check_width(width_mm: float) -> None:
    """Make sure that a figure is wide enough for its names.

    Raises
    ------
    HarmonyError
        If it is narrower than a telephone.
    """
    if not width_mm >= LEAST_MM:
        raise HarmonyError(
            f"a figure {width_mm:g} mm wide is too narrow", rule=f"at least {LEAST_MM:g} mm"
        )


class Foot:
    """The key of a figure and what to see in it.

    Parameters
    ----------
    width : float
        In mm.
    told : sequence of str
        The sentences, each of which begins a line.
    key : sequence of (str, str)
        The kinds of what is drawn, and in words what each stands for.
    sample : callable
        Draws one of a kind.
    """

    def __init__(
        self, width: float, told: Sequence[str], key: Sequence[tuple[str, str]], sample: Sample
    ) -> None:
        self._room = width - 2 * SIDE_MM
        self._lines = [line for text in told for line in broken(text, self._room, NOTE_PT)]
        self._sample = sample
        self._entries = [*_entries(key, self._room)]

    @property
    def high(self) -> float:
        """How high it is, in mm."""
        rows = max(row for row, *_ in self._entries) + 1
        return (rows + len(self._lines)) * _LINE_MM + 3.0

    def draw(self, canvas: Canvas, top: float) -> None:
        """Draw key and sentences."""
        y = top
        for row, x, kind, text in self._entries:
            y = top + row * _LINE_MM + 2.0
            self._sample(canvas, SIDE_MM + x, y, kind)
            left = SIDE_MM + x + _SAMPLE_MM
            canvas.letter(left, y, text, SMALL_PT, colour="soft", anchor="left")
        y += 0.6
        for line in self._lines:
            y += _LINE_MM
            canvas.letter(SIDE_MM, y, line, NOTE_PT, anchor="left")


def _entries(key: Sequence[tuple[str, str]], room: float) -> Iterator[tuple[int, float, str, str]]:
    """Yield row, place, kind and words of what is in the key."""
    row, x = 0, 0.0
    for kind, text in key:
        wide = _SAMPLE_MM + text_width(text, SMALL_PT)
        if x and x + wide > room:
            row, x = row + 1, 0.0
        yield row, x, kind, text
        x += wide + _APART_MM
