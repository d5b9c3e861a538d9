"""A change of shape, finger by finger: what stays down, what slides, what lifts, and how far."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from harmonykit.fretboard.hands.hand import FINGERS, Fingering, Hold, Limits, held_by
from harmonykit.fretboard.hands.progression import fingerings
from harmonykit.fretboard.hands.travel import Stance, stance, way_mm
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing, as_voicings
from harmonykit.fretboard.strings.instrument import InstrumentLike
from harmonykit.theory.typed import Told

STAYS, ROLLS, SLIDES = "stays", "rolls", "slides"
CROSSES, LIFTS, LANDS = "crosses", "lifts", "lands"


@dataclass(frozen=True, slots=True)
class FingerMove:
    """What one finger does in a change.

    Parameters
    ----------
    finger : int
        1 (index) to 4.
    what : {"stays", "rolls", "slides", "crosses", "lifts", "lands"}
        It *stays* where it is; *rolls* in its fret, on a string that it keeps, into a barre or out
        of one; *slides* along a string; *crosses* to other strings, which it has to lift for;
        *lifts* and is done; *lands* and was free.
    start, end : Hold or None
        Where it was and where it is; ``None`` where it is free.
    mm : float
        How far its tip goes: along the neck and across the strings; 0 where it lifts or lands.
    """

    finger: int
    what: str
    start: Hold | None
    end: Hold | None
    mm: float


@dataclass(frozen=True, slots=True, repr=False)
class Change(Told):
    """One shape after another, with the fingers that make it.

    Parameters
    ----------
    before, after : Fingering
    moves : tuple of FingerMove
        Of each finger that presses in one of the shapes, the index first.
    strings : tuple of int
        The strings whose fret changes.
    mm : float
        How far the hand goes: the mean of four fingers, as in ``travel``.
    """

    before: Fingering
    after: Fingering
    moves: tuple[FingerMove, ...]
    strings: tuple[int, ...]
    mm: float

    def fingers(self, what: str) -> tuple[int, ...]:
        """Return the fingers that do something: ``change.fingers("stays")``.

        Parameters
        ----------
        what : str

        Returns
        -------
        tuple of int

        Examples
        --------
        >>> step = hk.change("2010", "0003")
        >>> step.fingers("stays"), step.fingers("lifts")
        ((), (1, 2))
        """
        return tuple(move.finger for move in self.moves if move.what == what)

    @property
    def kept(self) -> tuple[int, ...]:
        """The strings that stay pressed by the finger that pressed them."""
        fingers = enumerate(zip(self.before.fingers, self.after.fingers, strict=True))
        return tuple(s for s, (a, b) in fingers if a and a == b and s not in self.strings)

    @property
    def slid(self) -> tuple[tuple[int, int], ...]:
        """The strings along which a finger slides, each with the fret that it comes from."""
        return tuple(
            (string, move.start.fret)
            for move in self.moves
            if move.what == SLIDES and move.start and move.end
            for string, finger in enumerate(self.after.fingers)
            if finger == move.finger and move.start.first <= string <= move.start.last
        )

    @property
    def words(self) -> str:
        """What each finger does: ``"1, 2 stay; 3 crosses from fret 3 to 2"``."""
        parts = [_together(what, self.fingers(what)) for what in (STAYS, ROLLS, LIFTS, LANDS)]
        parts[1:1] = [_goes(move) for move in self.moves if move.what in (SLIDES, CROSSES)]
        return "; ".join(part for part in parts if part) or "no finger presses"

    def __str__(self) -> str:
        return f"{self.words}; {self.mm:.0f} mm"


def _together(what: str, fingers: tuple[int, ...]) -> str:
    if not fingers:
        return ""
    verb = what if len(fingers) == 1 else what.removesuffix("s")
    return f"{', '.join(map(str, fingers))} {verb}"


def _goes(move: FingerMove) -> str:
    start, end = (hold.fret if hold else 0 for hold in (move.start, move.end))
    where = f"in fret {end}" if start == end else f"from fret {start} to {end}"
    return f"{move.finger} {move.what} {where}"


def change(
    a: Voicing | str,
    b: Voicing | str,
    limits: Limits | None = None,
    instrument: InstrumentLike = "ukulele",
) -> Change:
    """Return what the fingers do from one shape to another, their fingerings chosen together.

    Parameters
    ----------
    a, b : Voicing or str
        On one instrument; frets will do.
    limits : Limits, optional
        The hand; a wide one on the whole neck where not given.
    instrument : Instrument or str
        For shapes given by their frets.

    Returns
    -------
    Change

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of the shapes, or they are of different instruments.

    Examples
    --------
    >>> print(hk.change("x32010", "x02210", instrument="guitar"))
    1, 2 stay; 3 crosses from fret 3 to 2; 9 mm
    """
    shapes = as_voicing(a, instrument), as_voicing(b, instrument)
    return changes(shapes, limits)[0]


def changes(
    shapes: Sequence[Voicing | str], limits: Limits | None = None, *, loop: bool = False
) -> tuple[Change, ...]:
    """Return each change of a progression, with fingerings by which the hand moves least in all.

    Parameters
    ----------
    shapes : sequence of Voicing or str
        In playing order, on one instrument; frets are those of a ukulele.
    limits : Limits, optional
        The hand; a wide one on the whole neck where not given.
    loop : bool
        Whether the first shape follows the last: then that change is the last one.

    Returns
    -------
    tuple of Change

    Raises
    ------
    HarmonyError
        If four fingers cannot hold one of the shapes, or they are of different instruments.

    Examples
    --------
    >>> [round(each.mm) for each in hk.fretboard.changes(["2010", "2225", "0232"])]
    [22, 2]
    """
    row = as_voicings(shapes)
    held = list(zip(row, fingerings(row, limits, loop=loop), strict=True))
    if loop:
        held += held[:1]
    return tuple(change_of(*before, *after) for before, after in pairwise(held))


def change_of(a: Voicing, before: Fingering, b: Voicing, after: Fingering) -> Change:
    """Return what the fingers do from one shape to another, each held as it is."""
    start, end = stance(a.frets, before, a.instrument), stance(b.frets, after, b.instrument)
    old, new = held_by(a.frets, before), held_by(b.frets, after)
    moves = (_move(f, old.get(f), new.get(f), start, end) for f in FINGERS if f in old or f in new)
    strings = (s for s, (x, y) in enumerate(zip(a.frets, b.frets, strict=True)) if x != y)
    return Change(before, after, tuple(moves), tuple(strings), way_mm(start, end))


def _move(
    finger: int, old: Hold | None, new: Hold | None, start: Stance, end: Stance
) -> FingerMove:
    if old is None or new is None:
        return FingerMove(finger, LIFTS if new is None else LANDS, old, new, 0.0)
    if old == new:
        return FingerMove(finger, STAYS, old, new, 0.0)
    mm = math.dist(start.tips[finger], end.tips[finger])
    if not old.shares_a_string(new):
        return FingerMove(finger, CROSSES, old, new, mm)
    return FingerMove(finger, ROLLS if old.fret == new.fret else SLIDES, old, new, mm)
