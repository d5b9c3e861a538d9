"""What is asked of a hand at most, and the customary limits of three levels.

Settings, never law: common practice, no source.  Lengths are in millimetres.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass, replace
from types import MappingProxyType

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument

BARRES = ("none", "half", "full")
_SMALL_HAND = 0.8


@dataclass(frozen=True, slots=True)
class Limits:
    """What a hand is asked to do at most.

    Parameters
    ----------
    max_fret : int
        The highest fret.
    stretch_mm : float
        From the lowest to the highest fretted wire, in mm.
    barre : {"full", "half", "none"}
        A half barre lies over at most half of the strings, rounded up.
    tip_mm : float
        How broad a fingertip is where it presses, in mm; 0 for tips that never crowd.

    Examples
    --------
    >>> Limits(max_fret=5, barre="none").small_hand().stretch_mm
    78.4
    """

    max_fret: int = 12
    stretch_mm: float = 98.0
    barre: str = "full"
    tip_mm: float = 11.0

    def __post_init__(self) -> None:
        if self.barre not in BARRES:
            near = difflib.get_close_matches(self.barre, BARRES, 1)
            raise HarmonyError(
                f"{self.barre!r} is no limit for barres",
                rule=f"it is one of {', '.join(BARRES)}",
                mend=repr(near[0]) if near else "",
            )
        if min(self.max_fret, self.stretch_mm, self.tip_mm) < 0:
            raise HarmonyError("a limit of the hand is below 0", rule="frets and mm are 0 or more")

    def small_hand(self) -> Limits:
        """Return the limits of a small hand: 20 % less stretch."""
        return replace(self, stretch_mm=round(self.stretch_mm * _SMALL_HAND, 6))


def _levels(top_frets: tuple[int, int, int]) -> tuple[Limits, Limits, Limits]:
    first, second, third = top_frets
    return Limits(first, 67.0, "none"), Limits(second, 80.0, "half"), Limits(third, 98.0, "full")


# 67 mm lets in the open C of a guitar and refuses four frets there.
LEVELS = MappingProxyType({"ukulele": _levels((5, 7, 12)), "guitar": _levels((5, 9, 12))})
"""The limits of levels 1, 2 and 3, by family of instrument."""


def limits_at(level: int, instrument: Instrument, small_hand: bool = False) -> Limits:
    """Return the limits of a level, 1 to 3, on an instrument.

    Raises
    ------
    HarmonyError
        If there is no such level.

    Examples
    --------
    >>> limits_at(2, Instrument.named("guitar"))
    Limits(max_fret=9, stretch_mm=80.0, barre='half', tip_mm=11.0)
    """
    levels = LEVELS[instrument.family]
    if not 1 <= level <= len(levels):
        raise HarmonyError(f"there is no level {level}", rule=f"levels are 1 to {len(levels)}")
    limits = levels[level - 1]
    return limits.small_hand() if small_hand else limits
