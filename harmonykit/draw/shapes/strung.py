"""How the strings of an instrument are drawn: doubled lines, a short one, which side.

Conventions.  Strings are counted from 0 in the instrument's order.  Lengths are in mm.
"""

from collections.abc import Iterable

from harmonykit.fretboard.strings.instrument import Instrument

# From one line to the next of strings that are pressed together.
_BESIDE_MM = 0.8


def strands(instrument: Instrument, string: int, scale: float = 1.0) -> tuple[float, ...]:
    """Return where the lines of one string lie beside its middle, in mm: two for a double one.

    Examples
    --------
    >>> strands(Instrument.named("ukulele"), 0), strands(Instrument.named("mandolin"), 0)
    ((0.0,), (-0.4, 0.4))
    """
    count = 1 + (len(instrument.doubles[string]) if instrument.doubles else 0)
    return tuple(_BESIDE_MM * scale * (line - (count - 1) / 2) for line in range(count))


def whole_strings(instrument: Instrument, wire: int = 0) -> tuple[int, ...]:
    """Return the strings that lie on a wire; not those that start at a higher fret.

    Examples
    --------
    >>> banjo = Instrument.named("five-string banjo")
    >>> whole_strings(banjo), whole_strings(banjo, 5)
    ((1, 2, 3, 4), (0, 1, 2, 3, 4))
    """
    return tuple(s for s in range(len(instrument.strings)) if instrument.start(s) <= wire)


def drawn_order(count: int, *turned: bool) -> tuple[int, ...]:
    """Return the strings as they are drawn, each turn the other way round.

    Examples
    --------
    >>> drawn_order(4), drawn_order(4, True), drawn_order(4, True, True)
    ((0, 1, 2, 3), (3, 2, 1, 0), (0, 1, 2, 3))
    """
    order = tuple(range(count))
    return order[::-1] if sum(turned) % 2 else order


def is_left_handed(instrument: Instrument, *, asked: bool | None) -> bool:
    """Return the hand that is asked for, else the one that the instrument is strung for."""
    return instrument.left_handed if asked is None else asked


def span(places: Iterable[float]) -> tuple[float, float]:
    """Return the least and the greatest of some places.

    Examples
    --------
    >>> span([3.0, 1.0, 2.0])
    (1.0, 3.0)
    """
    listed = list(places)
    return min(listed), max(listed)
