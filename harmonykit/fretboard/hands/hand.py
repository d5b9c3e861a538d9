"""A hand: what is asked of it at most, and which of its fingers holds which string.

Settings, never law: common practice, no source.  Lengths are in millimetres.

Conventions.  Fingers are numbered 1 (index) to 4 (little finger); 5 is the thumb over the neck.  A
*hold* is one finger's work: a fret and the strings from the first to the last that it presses.
Strings are numbered from 0 in the instrument's order; the hand reaches round the neck from the
last string's side.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from harmonykit import errors
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.strings.instrument import InstrumentLike, as_instrument
from harmonykit.theory.typed import as_typed
from harmonykit.values import dataclass, field, replace

BARRES = ("none", "half", "full")
REACHES = MappingProxyType({"small": 78.4, "usual": 88.0, "wide": 98.0})
"""How far index and little finger part along the neck, in mm, by the reach of a hand."""
_SMALL_HAND = REACHES["small"] / REACHES["wide"]

# How far two fingers part, as a share of the reach from index to little finger.  The index is the
# freest; middle, ring and little finger move together.  Common practice, no source.
_SHARES = {(1, 2): 0.76, (1, 3): 0.88, (1, 4): 1.0, (2, 3): 0.55, (2, 4): 0.78, (3, 4): 0.61}
PAIRS = tuple(_SHARES)
"""The pairs of fingers, 1 (index) to 4 (little finger), in the order of ``Limits.pairs_mm``."""


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of a hand.

    Parameters
    ----------
    max_fret : int
        The highest fret.
    stretch_mm : float
        The widest stretch, from the lowest to the highest fret pressed, in mm.
    barre : {"full", "half", "none"}
        A half barre lies over at most half of the strings, rounded up.
    tip_mm : float
        How broad a fingertip is where it presses, in mm; 0 for tips that never crowd.
    reach_mm : float
        How far index and little finger can spread, in mm; the other pairs follow from it:
        78.4 for a small hand, 88 for a usual one, 98 for a wide one.
    thumb : bool
        Whether the thumb may reach over the neck to fret the nearest string, a guitar's sixth.

    Examples
    --------
    >>> hk.Limits(max_fret=5, barre="none").small_hand().stretch_mm
    78.4
    >>> [round(mm) for mm in hk.Limits().pairs_mm]
    [74, 86, 98, 54, 76, 60]
    """

    max_fret: int = 12
    stretch_mm: float = REACHES["wide"]
    barre: str = "full"
    tip_mm: float = 11.0
    reach_mm: float = REACHES["wide"]
    thumb: bool = False
    pairs_mm: tuple[float, ...] = field(init=False, repr=False, compare=False)
    """How far two fingers may part, in mm: index to middle, ring and little finger; middle to
    ring and little; ring to little.

    A hand that is asked for a wider stretch than its reach is taken to have it.
    """

    def __post_init__(self) -> None:
        errors.need_one_of(self.barre, "barre", BARRES)
        for name in ("max_fret", "stretch_mm", "tip_mm", "reach_mm"):
            errors.need_number(getattr(self, name), name)
        errors.need_flag(self.thumb, "thumb")
        if min(self.max_fret, self.stretch_mm, self.tip_mm, self.reach_mm) < 0:
            raise HarmonyError("a hand limit is below 0", rule="frets and mm are 0 or more")
        reach = max(self.reach_mm, self.stretch_mm)
        object.__setattr__(self, "pairs_mm", tuple(share * reach for share in _SHARES.values()))

    def small_hand(self) -> Limits:
        """Return the limits of a small hand: 20 % less stretch and reach.

        Returns
        -------
        Limits
        """
        return _of_a_small_hand(self)

    def with_reach(self, name: str) -> Limits:
        """Return the limits with the reach of a small, usual or wide hand.

        Parameters
        ----------
        name : str

        Returns
        -------
        Limits

        Raises
        ------
        HarmonyError
            If the name is unknown.

        Examples
        --------
        >>> hk.Limits().with_reach("usual").stretch_mm
        88.0
        """
        if name not in REACHES:
            raise HarmonyError(
                f"{name!r} is not a reach of a hand", rule=f"it is one of {', '.join(REACHES)}"
            )
        reach = REACHES[name]
        return replace(self, reach_mm=reach, stretch_mm=min(self.stretch_mm, reach))

    def __repr__(self) -> str:
        return as_typed(self)


@lru_cache(maxsize=64)
def _of_a_small_hand(limits: Limits) -> Limits:
    """Return the limits of a small hand; every shape that is rated asks for those of its levels."""
    return replace(
        limits,
        stretch_mm=round(limits.stretch_mm * _SMALL_HAND, 6),
        reach_mm=round(limits.reach_mm * _SMALL_HAND, 6),
    )


def _levels(top_frets: tuple[int, int, int]) -> tuple[Limits, Limits, Limits]:
    first, second, third = top_frets
    small, usual, wide = REACHES.values()
    return (
        Limits(first, 67.0, "none", reach_mm=small),
        Limits(second, 80.0, "half", reach_mm=usual),
        Limits(third, 98.0, "full", reach_mm=wide),
    )


# 67 mm lets in the open C of a guitar and refuses four frets there.
LEVELS = MappingProxyType({"ukulele": _levels((5, 7, 12)), "guitar": _levels((5, 9, 12))})
"""The limits of levels 1, 2 and 3, by family of instrument."""


def limits_at(level: int, instrument: InstrumentLike, *, small_hand: bool = False) -> Limits:
    """Return the limits of a level, 1 to 3, on an instrument.

    Parameters
    ----------
    level : int in 1..3
        From a first shape in low frets without a barre to the whole neck.
    instrument : Instrument
    small_hand : bool, optional
        Whether the hand reaches less far.

    Returns
    -------
    Limits

    Raises
    ------
    HarmonyError
        If there is no such level.

    Examples
    --------
    >>> hk.limits_at(2, "guitar")
    Limits(max_fret=9, stretch_mm=80.0, barre='half', reach_mm=88.0)
    """
    errors.need_whole(level, "level")
    errors.need_flag(small_hand, "small_hand")
    levels = LEVELS[as_instrument(instrument).family]
    if not 1 <= level <= len(levels):
        raise HarmonyError(f"unknown level {level}", rule=f"levels are 1 to {len(levels)}")
    limits = levels[level - 1]
    return limits.small_hand() if small_hand else limits


def as_limits(given: Limits | None, otherwise: Limits) -> Limits:
    """Return the limits of a hand that were handed in, or others for ``None``.

    Examples
    --------
    >>> as_limits(None, Limits(max_fret=5)).max_fret
    5
    """
    if given is None:
        return otherwise
    if not isinstance(given, Limits):
        raise errors.wrong_kind(given, "the limits of a hand", 'Limits(max_fret=5, barre="none")')
    return given


FINGERS = (1, 2, 3, 4)
INDEX, MIDDLE, RING, LITTLE = FINGERS
THUMB = 5
# From one string to the next under the fingers; necks differ by a millimetre or two.
STRING_GAP_MM = 9.0
_FIRST_POSITION_FRETS = 3


@dataclass(frozen=True, slots=True)
class Barre:
    """One finger laid flat over several strings.

    Parameters
    ----------
    finger, fret : int
    first, last : int
        The first and the last string under it.
    """

    finger: int
    fret: int
    first: int
    last: int

    @property
    def width(self) -> int:
        """How many strings lie under it."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class Fingering:
    """Fingers on strings.

    Parameters
    ----------
    fingers : tuple of int or None
        For each string 1 (index) to 4 (little finger), 5 (thumb), 0 open, ``None`` muted.
    barres : tuple of Barre
    stretch_mm : float
        From the lowest to the highest fretted wire, in mm.
    """

    fingers: tuple[int | None, ...]
    barres: tuple[Barre, ...] = ()
    stretch_mm: float = 0.0


class Hold(NamedTuple):
    """One finger's work: a fret, and the strings that it presses from first to last.

    A plain tuple, since the hand model makes them by the thousand.
    """

    fret: int
    first: int
    last: int

    @property
    def width(self) -> int:
        """How many strings lie under the finger."""
        return self.last - self.first + 1

    def shares_a_string(self, other: Hold) -> bool:
        """Whether some string lies under both."""
        return self.first <= other.last and other.first <= self.last


def held_by(frets: Fretting, fingering: Fingering) -> dict[int, Hold]:
    """Return what each finger presses, the index first; a flat one all that it lies over.

    Examples
    --------
    >>> held_by((0, 2, 3, 2), Fingering((0, 1, 3, 2)))[3]
    Hold(fret=3, first=2, last=2)
    """
    found = {
        finger: Hold(fret, string, string)
        for string, (finger, fret) in enumerate(zip(fingering.fingers, frets, strict=True))
        if finger and fret
    }
    flat = {b.finger: Hold(b.fret, b.first, b.last) for b in fingering.barres}
    return dict(sorted((found | flat).items()))


def awkwardness(holds: tuple[Hold, ...], fingers: tuple[int, ...], position: int) -> int:
    """Return how far fingers stand from a finger a fret, and what flat and parted ones add.

    The thumb counts as one fret.

    Examples
    --------
    >>> two_frets = (Hold(1, 2, 2), Hold(2, 0, 0))
    >>> awkwardness(two_frets, (1, 2), position=1), awkwardness(two_frets, (1, 4), position=1)
    (0, 2)
    """
    placed = [pair for pair in zip(fingers, holds, strict=True) if pair[0] != THUMB]
    away = sum(abs(finger - (hold.fret - position + 1)) for finger, hold in placed)
    flat = sum(min(hold.width, 4) for hold in holds if hold.width > 1)
    thumb = len(holds) - len(placed)
    return away + flat + thumb + sum(_parted(pair) for pair in pairwise(placed))


def _parted(pair: tuple[tuple[int, Hold], tuple[int, Hold]]) -> int:
    """Return the frets left free between two neighbouring fingers."""
    (low, near), (high, far) = pair
    return max(0, far.fret - near.fret - 1) if high == low + 1 else 0


def position_of(frets: Fretting) -> int:
    """Return the fret at which the index stands or would stand.

    Shapes with open strings that go no higher than the third fret lie in first position, where
    finger 2 takes fret 2 and finger 3 fret 3 (common practice, no source).
    """
    fretted = [fret for fret in frets if fret]
    if not fretted or (0 in frets and max(fretted) <= _FIRST_POSITION_FRETS):
        return 1
    return min(fretted)
