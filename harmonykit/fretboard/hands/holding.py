"""The hand: whether four fingers hold a shape, and how best.

A finger presses one note, unless it lies flat; fingers rise with the frets, and within a fret with
the strings.  Every way to share a shape among fingers is tried against the table of ``rules``.  Of
those that pass, the one nearest to a finger a fret is taken; a flat finger counts as its strings,
and each fret left free between two neighbouring fingers as one.  Open shapes up to the third fret
lie in first position.  Inside a progression the one is taken by which the hand moves least
(``progression``).

Conventions.  Lengths are in millimetres along the neck; strings and frets as in ``instrument``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from itertools import chain, combinations

from harmonykit.errors import wrong_kind
from harmonykit.fretboard.hands import hand, rules
from harmonykit.fretboard.hands.hand import Barre, Fingering, Hold, Limits
from harmonykit.fretboard.hands.rules import Grip, allowed
from harmonykit.fretboard.shapes.frettings import Fretting, read_digits
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.fretboard.strings.neck import MOST_FRETS, wire_mm


def fit(
    frets: Fretting | str, instrument: InstrumentLike, limits: Limits | None = None
) -> Fingering | None:
    """Return the best fingering of a shape, or ``None`` where four fingers cannot hold it.

    Parameters
    ----------
    frets : tuple of int or None, or str
        In string order; 0 open, ``None`` muted; or as typed, ``"3211"``.
    instrument : Instrument or str
        Its name or its open strings will do.
    limits : Limits, optional
        The hand; a wide one where not given.

    Returns
    -------
    Fingering or None

    Examples
    --------
    >>> ukulele = hk.Instrument.named("ukulele")
    >>> held = hk.fretboard.fingering((3, 2, 1, 1), ukulele)
    >>> held and held.fingers
    (3, 2, 1, 1)
    >>> hk.fretboard.fingering((3, 2, 1, 1), ukulele, hk.limits_at(1, ukulele)) is None
    True
    """
    neck = as_instrument(instrument)
    return _fit(_read(frets, neck), neck.scale_mm, limits or Limits())


def _read(frets: Fretting | str, neck: Instrument) -> Fretting:
    if isinstance(frets, str):
        return read_digits(frets, neck)
    if not isinstance(frets, tuple | list):
        raise wrong_kind(frets, "frets, one for each string", '"3211" or (3, 2, 1, 1)')
    return frets


def can_hold(
    frets: Fretting | str, instrument: InstrumentLike, limits: Limits | None = None
) -> bool:
    """Whether a hand can hold the frets.

    Parameters
    ----------
    frets : tuple of int or None, or str
        One for each string in the instrument's order; ``None`` is muted; or as typed, ``"3211"``.
    instrument : Instrument or str
        Its name or its open strings will do.
    limits : Limits, optional
        What the hand may do; a wide hand where not given.

    Returns
    -------
    bool

    Examples
    --------
    >>> hk.fretboard.can_hold("133211", "guitar", hk.Limits(barre="none"))
    False
    """
    neck = as_instrument(instrument)
    return _can_hold(neck.scale_mm, limits or Limits())(_read(frets, neck))


def held(shapes: Iterable[Fretting], instrument: Instrument, limits: Limits) -> list[Fretting]:
    """Return those of many shapes that a hand can hold, in their order.

    Examples
    --------
    >>> held([(0, 0, 0, 3), (1, 5, 9, 12)], Instrument.named("ukulele"), Limits())
    [(0, 0, 0, 3)]
    """
    return list(filter(_can_hold(instrument.scale_mm, limits), shapes))


def ways_to_finger(
    frets: Fretting, instrument: Instrument, limits: Limits | None = None
) -> tuple[tuple[Fingering, int], ...]:
    """Return every fingering of a shape with its awkwardness, the least awkward first.

    Examples
    --------
    >>> ways = ways_to_finger((0, 0, 0, 3), Instrument.named("ukulele"))
    >>> [(found.fingers[3], awkward) for found, awkward in ways]
    [(3, 0), (2, 1), (4, 1), (1, 2)]
    """
    return _ways(frets, instrument.scale_mm, limits or Limits())


Assignment = tuple[tuple[Hold, ...], tuple[int, ...]]


def assignments(frets: Fretting, wires: tuple[float, ...], limits: Limits) -> Iterator[Assignment]:
    """Return every way to hold a shape within limits: the holds, and a finger for each.

    The thumb comes last, where the limits let it fret the nearest string, a guitar's sixth.

    Parameters
    ----------
    frets : tuple of int or None
        One of them at least fretted.
    wires : tuple of float
        The places of the fret wires in mm, the nut first.
    limits : Limits
    """
    found = _by_fingers(frets, wires, limits)
    rest = (None, *frets[1:])
    if limits.thumb and frets[0] and any(rest):
        return chain(found, _with_the_thumb(frets, rest, wires, limits))
    return found


def _with_the_thumb(
    frets: Fretting, rest: Fretting, wires: tuple[float, ...], limits: Limits
) -> Iterator[Assignment]:
    over = Hold(frets[0] or 0, 0, 0)
    for holds, fingers in _by_fingers(rest, wires, limits):
        grip = Grip(frets, (*holds, over), wires, limits, (*fingers, hand.THUMB))
        if rules.OF_THE_THUMB.allows(grip):
            yield grip.holds, grip.fingers


def _by_fingers(frets: Fretting, wires: tuple[float, ...], limits: Limits) -> Iterator[Assignment]:
    singles = single_notes(frets)
    grip = Grip(frets, singles, wires, limits)
    if not allowed(rules.OF_SHAPES, grip):
        return
    for holds in ways_to_share(singles):
        flat = holds is not singles
        if flat:
            grip = Grip(frets, holds, wires, limits)
        if allowed(rules.OF_HOLDS, grip) and (not flat or allowed(rules.OF_FLAT, grip)):
            for fingers in combinations(hand.FINGERS, len(holds)):
                named = Grip(frets, holds, wires, limits, fingers)
                if allowed(rules.OF_FINGERS, named) and (
                    not flat or allowed(rules.OF_FLAT_FINGERS, named)
                ):
                    yield holds, fingers


def single_notes(frets: Fretting) -> tuple[Hold, ...]:
    """Return one hold for each note that is stopped, sorted by fret, then by string.

    Examples
    --------
    >>> single_notes((0, 2, 3, 2))
    (Hold(fret=2, first=1, last=1), Hold(fret=2, first=3, last=3), Hold(fret=3, first=2, last=2))
    """
    stops = sorted([(fret, string) for string, fret in enumerate(frets) if fret])
    return tuple([Hold(fret, string, string) for fret, string in stops])


def ways_to_share(singles: tuple[Hold, ...]) -> Iterator[tuple[Hold, ...]]:
    """Yield ways to share a shape among fingers, each sorted by fret, then by string.

    One finger a note comes first, then a barre, then the last finger laid flat, then both, then the
    last but one laid flat.  Whether a hand can do so is for the rules to say.
    """
    yield singles
    low = singles[0].fret
    lows = [hold for hold in singles if hold.fret == low]
    barred = (Hold(low, lows[0].first, lows[-1].last), *singles[len(lows) :])
    found = [barred] if len(lows) > 1 else []
    found += [laid for holds in (singles, *found) if (laid := _laid_flat(holds, len(holds)))]
    below = _laid_flat(singles, len(singles) - 1) if len(singles) > len(hand.FINGERS) else None
    yield from dict.fromkeys([*found, below] if below else found)


def _laid_flat(holds: tuple[Hold, ...], end: int) -> tuple[Hold, ...] | None:
    """Return the holds with one finger over the last row of neighbours before a place."""
    last = holds[end - 1]
    row = [hold for hold in holds[:end] if hold.fret == last.fret and hold.width == 1]
    begin = len(row) - 1
    while begin > 0 and row[begin].first == row[begin - 1].first + 1:
        begin -= 1
    if begin > len(row) - 2:
        return None
    count = len(row) - begin
    return (*holds[: end - count], Hold(last.fret, row[begin].first, last.last), *holds[end:])


@lru_cache(maxsize=16)
def _can_hold(scale_mm: float, limits: Limits) -> Callable[[Fretting], bool]:
    """Return what says of shapes whether a hand can hold them, and remembers it."""
    wires = wires_of(scale_mm)

    @lru_cache(maxsize=16384)
    def can_hold(frets: Fretting) -> bool:
        return not any(frets) or next(assignments(frets, wires, limits), None) is not None

    return can_hold


@lru_cache(maxsize=32768)
def _fit(frets: Fretting, scale_mm: float, limits: Limits) -> Fingering | None:
    if not any(frets):
        return Fingering(frets)
    position, wires = hand.position_of(frets), wires_of(scale_mm)
    # Of equals the first is taken: one finger a note comes before a barre.
    best = min(
        assignments(frets, wires, limits),
        key=lambda found: hand.awkwardness(found[0], found[1], position),
        default=None,
    )
    return None if best is None else _fingering(frets, best, wires)


@lru_cache(maxsize=4096)
def _ways(frets: Fretting, scale_mm: float, limits: Limits) -> tuple[tuple[Fingering, int], ...]:
    if not any(frets):
        return ((Fingering(frets), 0),)
    position, wires = hand.position_of(frets), wires_of(scale_mm)
    found = (
        (_fingering(frets, way, wires), hand.awkwardness(*way, position))
        for way in assignments(frets, wires, limits)
    )
    return tuple(sorted(found, key=lambda way: way[1]))


@lru_cache(maxsize=16)
def wires_of(scale_mm: float) -> tuple[float, ...]:
    """Return the places of the fret wires of a scale, in mm, the nut first.

    Examples
    --------
    >>> [round(wire, 1) for wire in wires_of(381.0)[:3]]
    [0.0, 21.4, 41.6]
    """
    return tuple(wire_mm(scale_mm, fret) for fret in range(MOST_FRETS + 1))


def _fingering(frets: Fretting, way: Assignment, wires: tuple[float, ...]) -> Fingering:
    holds, fingers = way
    placed = tuple(zip(fingers, holds, strict=True))
    barres = tuple(
        Barre(finger, hold.fret, hold.first, hold.last) for finger, hold in placed if hold.width > 1
    )
    on_strings = tuple(_finger_on(string, fret, placed) for string, fret in enumerate(frets))
    stops = [wires[hold.fret] for hold in holds]
    return Fingering(on_strings, barres, max(stops) - min(stops))


def _finger_on(string: int, fret: int | None, placed: tuple[tuple[int, Hold], ...]) -> int | None:
    if not fret:
        return fret
    return next(f for f, h in placed if h.fret == fret and h.first <= string <= h.last)
