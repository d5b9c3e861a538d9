"""A change of shape, finger by finger: what stays down, what slides, what lifts, and how far."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from harmonykit.fretboard.hands.hand import FINGERS, Fingering, Hold, Limits, held_by
from harmonykit.fretboard.hands.progression import fingerings
from harmonykit.fretboard.hands.travel import Stance, stance, way_mm
from harmonykit.fretboard.shapes.voicing import Voicing, as_voicing, as_voicings
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike
from harmonykit.theory.typed import Told
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words, number

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
    open : tuple of int
        The strings that are open in both shapes.
    names : tuple of str
        What each string is called.
    """

    before: Fingering
    after: Fingering
    moves: tuple[FingerMove, ...]
    strings: tuple[int, ...]
    mm: float
    open: tuple[int, ...]
    names: tuple[str, ...]

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
        """The strings along which a finger slides, each with the fret that it comes from.

        A finger that lies flat slides along the strings that it held itself: where another held
        one nearer to the bridge, it had no mark.
        """
        return tuple(
            (string, move.start.fret)
            for move in self.moves
            if move.what == SLIDES and move.start and move.end
            for string, finger in enumerate(self.after.fingers)
            if finger == move.finger == self.before.fingers[string]
        )

    @property
    def lines(self) -> tuple[tuple[str, str], ...]:
        """What the fingers do: a verb, and the fingers that do it; a silent verb is left out.

        Where no finger stays, the open strings that go on sounding do.
        """
        found = []
        for what in _ORDER:
            moves = [move for move in self.moves if move.what == what]
            said = _together(moves) if what in (STAYS, LIFTS) else _apart(moves, self.names)
            if what == STAYS and not moves and self.moves and self.open:
                said = _still([self.names[string] for string in self.open])
            count = len(moves) or len(self.open)
            if said:
                found.append((what if count == 1 else _VERBS[what], said))
        return tuple(found)

    @property
    def words(self) -> str:
        """What the fingers do: ``"1 and 2 stay; 3 crosses to fret 2, D string"``."""
        parts = []
        for verb, said in self.lines:
            goes = verb not in (STAYS, LIFTS, _VERBS[STAYS], _VERBS[LIFTS])
            each = (one.partition(" ") for one in said.split("; ")) if goes else ()
            single = _SINGLE.get(verb, verb)
            parts += [f"{finger} {single} {where}" for finger, _, where in each] or [
                f"{said} {verb}"
            ]
        return "; ".join(parts) or "no finger presses"

    def __str__(self) -> str:
        return f"{self.words}; {self.mm:.0f} mm"


_VERBS = {
    STAYS: "stay",
    ROLLS: "roll",
    SLIDES: "slide",
    CROSSES: "cross",
    LANDS: "land",
    LIFTS: "lift",
}
_SINGLE = {several: one for one, several in _VERBS.items()}
_ORDER = tuple(_VERBS)


def _still(names: Sequence[str]) -> str:
    """Return the open strings that go on sounding: ``"the open g and C strings"``."""
    more = "s" if len(names) > 1 else ""
    return f"the open {join_words([name.removesuffix(' string') for name in names])} string{more}"


def _together(moves: Sequence[FingerMove]) -> str:
    return join_words([str(move.finger) for move in moves]) if moves else ""


def _apart(moves: Sequence[FingerMove], names: Sequence[str]) -> str:
    return "; ".join(f"{move.finger} {_goes(move, names)}" for move in moves)


def _goes(move: FingerMove, names: Sequence[str]) -> str:
    """Return where a finger goes that neither stays nor lifts."""
    start, end = move.start, move.end
    if end is None:
        return ""
    if move.what == SLIDES and start is not None:
        return f"from fret {start.fret} to {end.fret}"
    if move.what == ROLLS:
        return f"{'flat' if end.width > 1 else 'up'} at fret {end.fret}"
    where = f"{number(end.width)} strings" if end.width > 1 else names[end.first]
    return f"{'at' if move.what == LANDS else 'to'} fret {end.fret}, {where}"


@lru_cache(maxsize=64)
def _called(instrument: Instrument) -> tuple[str, ...]:
    """Return what each string is called: two of one name are low and high, or have a number."""
    labels = instrument.labels
    same = [[n for n, o in enumerate(labels) if o.upper() == one.upper()] for one in labels]
    return tuple(
        f"{_height(instrument, string, alike)}{labels[string]} string"
        for string, alike in enumerate(same)
    )


def _height(instrument: Instrument, string: int, alike: Sequence[int]) -> str:
    if len(alike) == 1:
        return ""
    lowest = min(instrument.midi[other] for other in alike)
    return "low " if instrument.midi[string] == lowest else "high "


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
    1 and 2 stay; 3 crosses to fret 2, G string; 9 mm
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
    pairs = list(enumerate(zip(a.frets, b.frets, strict=True)))
    strings = tuple(s for s, (x, y) in pairs if x != y)
    still = tuple(s for s, (x, y) in pairs if x == y == 0)
    way, names = way_mm(start, end), _called(b.instrument)
    return Change(before, after, tuple(moves), strings, way, still, names)


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
