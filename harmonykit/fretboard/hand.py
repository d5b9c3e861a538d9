"""The hand: what four fingers can hold, how far they stretch, and how far they travel.

The model
---------
1. Fingers 1 (index) to 4 (little finger) press strings; the thumb stays behind the neck.
2. One finger presses one note, unless it lies flat.  Fingers rise with the frets, and within a
   fret with the strings.
3. The *stretch* is the way from the lowest to the highest fretted wire.  All fingers stand the
   same way behind their wires, so that wire to wire is finger to finger.  It stays within the
   limit; middle and ring finger, and ring and little finger, part by two thirds of it at most,
   since they move together; the index is free.
4. A *barre* is the index laid over the lowest fretted fret, from the first to the last string
   stopped there.  The finger comes from the last string's side and so lies over those strings
   too: no string in its reach may have to sound open, nor lie muted between its ends.
5. Another finger, or the index where it holds no barre, may lie flat over two or three neighbouring
   strings in one fret under the same rule (the 5x555x of every guitar book).
6. Three tips at most press side by side in one fret.
7. With index and middle side by side in one fret, the little finger does not reach across them
   to a string on their far side: 3-2-1-1 wants its barre.
8. Among the fingerings that pass, the one nearest to a finger a fret is taken; a flat finger
   counts as its strings.  Open shapes up to the third fret lie in first position.

It leaves out: the way across the strings in the stretch, tips that crowd in the narrow frets of a
short neck, the width of the fretboard and the height of the strings, the thumb over the neck, a
fingertip that mutes the string beside it, half-pressed barres, pain, and practice.  The numbers
are settings, not laws of the body: common practice, no source.

Conventions.  Lengths are in millimetres along the neck; strings and frets as in ``instrument``.
"""

from __future__ import annotations

from functools import lru_cache
from types import MappingProxyType

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.fingering import (
    Barre,
    Fingering,
    Hold,
    Limits,
    best_fingers,
    position_of,
    ways_to_hold,
)
from harmonykit.fretboard.frettings import Fretting
from harmonykit.fretboard.instrument import MOST_FRETS, Instrument

__all__ = ["LEVELS", "Barre", "Fingering", "Limits", "fit", "limits_at"]


def _levels(top_frets: tuple[int, int, int]) -> tuple[Limits, Limits, Limits]:
    first, second, third = top_frets
    return Limits(first, 67.0, "none"), Limits(second, 80.0, "half"), Limits(third, 98.0, "full")


# Settings, never law.  67 mm lets in the open C of a guitar and refuses four frets there.
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
    Limits(max_fret=9, stretch_mm=80.0, barre='half')
    """
    levels = LEVELS[instrument.family]
    if not 1 <= level <= len(levels):
        raise HarmonyError(f"there is no level {level}", rule=f"levels are 1 to {len(levels)}")
    limits = levels[level - 1]
    return limits.small_hand() if small_hand else limits


def fit(frets: Fretting, instrument: Instrument, limits: Limits | None = None) -> Fingering | None:
    """Return the best fingering of a shape, or ``None`` where four fingers cannot hold it.

    Parameters
    ----------
    frets : tuple of int or None
        In string order; 0 open, ``None`` muted.
    instrument : Instrument
    limits : Limits, optional
        The hand; a wide one where not given.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> fit((3, 2, 1, 1), ukulele).fingers, fit((3, 2, 1, 1), ukulele, limits_at(1, ukulele))
    ((3, 2, 1, 1), None)
    """
    return _fit(frets, instrument.scale_mm, limits or Limits())


@lru_cache(maxsize=32768)
def _fit(frets: Fretting, scale_mm: float, limits: Limits) -> Fingering | None:
    fretted = [fret for fret in frets if fret]
    if not fretted:
        return Fingering(frets)
    wires = _wires(scale_mm)
    stretch = wires[max(fretted)] - wires[min(fretted)]
    if max(fretted) > limits.max_fret or stretch > limits.stretch_mm:
        return None
    position = position_of(frets)
    best: tuple[int, tuple[int, ...]] | None = None
    held: tuple[Hold, ...] = ()
    for holds in ways_to_hold(frets, limits.barre):
        found = best_fingers(holds, wires, limits.stretch_mm, position)
        if found is not None and (best is None or found[0] < best[0]):
            best, held = found, holds
    return None if best is None else _fingering(frets, held, best[1], stretch)


@lru_cache(maxsize=64)
def _wires(scale_mm: float) -> tuple[float, ...]:
    return tuple(scale_mm * (1 - 2 ** (-fret / 12)) for fret in range(MOST_FRETS + 1))


def _fingering(
    frets: Fretting, holds: tuple[Hold, ...], fingers: tuple[int, ...], stretch_mm: float
) -> Fingering:
    placed = tuple(zip(fingers, holds, strict=True))
    barres = tuple(
        Barre(finger, hold.fret, hold.first, hold.last) for finger, hold in placed if hold.width > 1
    )
    on_strings = (_finger_on(string, fret, placed) for string, fret in enumerate(frets))
    return Fingering(tuple(on_strings), barres, stretch_mm)


def _finger_on(string: int, fret: int | None, placed: tuple[tuple[int, Hold], ...]) -> int | None:
    if not fret:
        return fret
    return next(f for f, h in placed if h.fret == fret and h.first <= string <= h.last)
