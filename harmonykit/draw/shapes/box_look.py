"""How a box looks: its sizes, and all that can be set about it.

Conventions.  Lengths are in mm at the plain size, type in points.
"""

from dataclasses import dataclass

from harmonykit.draw.base.style import NOTE_PT, POINTS_PER_MM, SMALL_PT
from harmonykit.fretboard.hands.fingering import Fingering

Frets = tuple[int | None, ...]

# The o and x above an open and a muted string, and how high they stand above the nut.
SIGN_MM, SIGN_LINE_MM, SIGN_UP_MM = 1.9, 0.35, 3.2
CAP_EM = 0.66


@dataclass(frozen=True, slots=True)
class BoxSize:
    """How large a box is: geometry, lines, sides as multiples, type in points, mark ``d`` in mm."""

    scale: float
    line: float
    name_pt: float
    note_pt: float
    mark: float
    finger_pt: float
    side: float

    @property
    def name_up(self) -> float:
        """From the top fret line up to the name's baseline, in mm: clear of o and x."""
        return (SIGN_UP_MM + SIGN_MM / 2 + SIGN_LINE_MM / 2) * self.scale + 1.6

    @property
    def notes_down(self) -> float:
        """From the lowest line down to the baseline of the notes' names, in mm."""
        gap = 2.1 + 2.5 * (max(self.scale, 1) - 1)
        return gap + CAP_EM * self.note_pt / POINTS_PER_MM


BOX_SIZES = {
    "plain": BoxSize(1.0, 1.0, 13.0, NOTE_PT, 4.2, SMALL_PT, 1.0),
    "chart": BoxSize(0.74, 1.0, 13.0, SMALL_PT, 3.2, SMALL_PT, 0.84),
    "source": BoxSize(1.5, 1.2, 17.0, 10.0, 6.3, 12.0, 1.5),
    "large": BoxSize(2.0, 1.8, 26.0, 16.0, 8.4, 16.0, 2.0),
    # On a sheet in large print four stand side by side; no text is under 16 points.
    "sheet": BoxSize(1.6, 1.8, 22.0, 16.0, 6.7, 16.0, 1.8),
}


@dataclass(frozen=True, slots=True)
class BoxLook:
    """All that is set about a box beside the shape and its chord."""

    name: str
    marks: str
    below: str
    was: Frets | None
    left_handed: bool
    reverse_strings: bool
    size: str
    blank: bool
    barre: bool
    fingering: Fingering | None
    kept: tuple[int, ...]
    slid: tuple[tuple[int, int], ...]
    places: bool
    palette: str
