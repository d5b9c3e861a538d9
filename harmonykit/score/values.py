"""Lengths as written note values: types, dots, tuplets, and ties where one value is not enough."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

TYPES = {
    Fraction(8): "breve", Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter",
    Fraction(1, 2): "eighth", Fraction(1, 4): "16th", Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th", Fraction(1, 32): "128th", Fraction(1, 64): "256th",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Value:
    """A written value: its length in quarters, its type, dots, and how many sound in whose time.

    ``actual`` notes sound in the time of ``normal``; 1 and 1 where there is no tuplet.
    """

    beats: Fraction
    type: str
    dots: int
    actual: int = 1
    normal: int = 1


def values_of(beats: Fraction) -> Iterator[Value]:
    """Yield the values that make up a length, the longest first.

    What is finer than a 256th, of whatever tuplet, has the nearest type.

    Examples
    --------
    >>> [(v.type, v.dots) for v in values_of(Fraction(5, 2))]
    [('half', 0), ('eighth', 0)]
    >>> [(v.type, v.actual, v.normal) for v in values_of(Fraction(2, 3))]
    [('quarter', 3, 2)]
    """
    actual = beats.denominator
    while actual % 2 == 0:
        actual //= 2
    normal = 1
    while normal * 2 < actual:
        normal *= 2
    scale = Fraction(actual, normal)
    left = beats * scale
    while left > 0:
        plain, kind, dots = next(
            ((p, k, d) for p, k, d in _PLAIN if p <= left), (left, TYPES[Fraction(1, 64)], 0)
        )
        yield Value(plain / scale, kind, dots, actual, normal)
        left -= plain


_PLAIN = sorted(
    (
        (base * (2 - Fraction(1, 2**dots)), kind, dots)
        for base, kind in TYPES.items()
        for dots in (0, 1, 2)
    ),
    reverse=True,
)
