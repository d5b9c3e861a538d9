"""How a box looks: its sizes, and all that can be set about it.

Conventions.  Lengths are in mm at the plain size, type in points.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from harmonykit.draw.base.style import NOTE_PT, POINTS_PER_MM, SMALL_PT
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.hands.fingering import Fingering
from harmonykit.theory.typed import as_typed

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
    # Over the bar of a chart that brings the shape, and the same shape to play from.
    "over": BoxSize(0.8, 1.0, 13.0, 9.0, 3.5, 9.0, 0.84),
    "play": BoxSize(1.2, 1.2, 17.0, 10.0, 5.6, 10.0, 1.2),
    # On a sheet in large print four stand side by side; no text is under 16 points.
    "sheet": BoxSize(1.6, 1.8, 22.0, 16.0, 6.7, 16.0, 1.8),
}


@dataclass(frozen=True, slots=True)
class BoxLook:
    """How a chord diagram looks beside its marks and its colours.

    Parameters
    ----------
    size : {"plain", "chart", "over", "play", "source", "large", "sheet"}
        A chart's box is small, and has neither name nor notes unless they are asked for.
    notes : bool, optional
        Note names below the box; unless given, under all boxes but a chart's.
    degrees : bool
        Degrees of the chord below, in place of the names.
    barre : bool, optional
        A bar behind what one finger presses; drawn with fingers unless given.
    fingering : Fingering, optional
        Fingers and barres to draw in place of the shape's own: those of a progression, say.
    change : Change, optional
        What the fingers did on the way to the shape.  Among fingers an open mark is one that
        stayed, and a tail shows from which fret one slid; they press as the change has it.
    third : bool
        Whether the third of the chord is a square among fingers too, and a small one above the nut
        where its string is open.
    blank : bool
        Empty, with a line for the name: to fill in with shapes that lie where this one does.
    left_handed : bool, optional
        As the instrument is strung unless given.
    reverse_strings : bool
        The order of the strings turned round, for an instrument strung the other way.
    places : bool
        Whether every string, fret and empty place has an id and an area to click on.

    Raises
    ------
    HarmonyError
        For an unknown size.

    Examples
    --------
    >>> hk.draw.BoxLook(size="large", degrees=True)
    BoxLook(size='large', degrees=True)
    """

    size: str = "plain"
    notes: bool | None = None
    degrees: bool = False
    barre: bool | None = None
    fingering: Fingering | None = None
    change: Change | None = None
    third: bool = False
    blank: bool = False
    left_handed: bool | None = None
    reverse_strings: bool = False
    places: bool = False

    def __post_init__(self) -> None:
        check_known("size of chord diagram", self.size, BOX_SIZES)

    def __repr__(self) -> str:
        return as_typed(self)


@dataclass(frozen=True, slots=True)
class Drawn:
    """All that is settled about a box before it is drawn."""

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
    third: bool
    places: bool
    palette: str


def check_known(what: str, value: str, known: Iterable[str]) -> None:
    """Refuse a word that is unknown.

    Raises
    ------
    HarmonyError
        With the words that there are.
    """
    if value not in known:
        raise HarmonyError(f"unknown {what} {value!r}", mend=", ".join(map(repr, known)))
