"""A row of signs on even places between bar lines, as it is typed: ``D - D U - U D U``.

Conventions.  A bar is divided evenly into as many places as it has signs: so many for each beat,
1, 2, 3 or 4 in a metre of plain beats, 1, 3 or 6 in one of dotted beats.  Spaces are free.
"""

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import lcm

from harmonykit.errors import HarmonyError, Place
from harmonykit.tune.bar import Meter, bar_length, beat_length, write_meter
from harmonykit.values import dataclass

MOST_BARS = 4
_PLAIN, _DOTTED = (1, 2, 3, 4), (1, 3, 6)
# Half a bar of 2/2 is long enough for eighths and for sixteenths.
_LONG = (1, 2, 4, 6, 8)


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of a row: what stands there, where in its bar in quarters, and its column from 1."""

    text: str
    at: Fraction
    column: int


def divisions(meter: Meter) -> tuple[int, ...]:
    """Return into how many places a beat may be divided.

    Examples
    --------
    >>> divisions((4, 4)), divisions((6, 8)), divisions((2, 2))
    ((1, 2, 3, 4), (1, 3, 6), (1, 2, 4, 6, 8))
    """
    beat = beat_length(meter)
    return _DOTTED if beat.numerator == 3 else _LONG if beat > 1 else _PLAIN


def cut(
    text: str, meter: Meter, signs: re.Pattern[str], legend: str
) -> tuple[tuple[Sign, ...], ...]:
    """Return the signs of each bar of a row.

    Parameters
    ----------
    text : str
    meter : tuple of int
    signs : re.Pattern
        What may stand at a place.
    legend : str
        What the signs mean, for errors.

    Raises
    ------
    HarmonyError
        With the column of what cannot be read, or of the bar that has too many or too few places.
    """
    bars: list[list[tuple[str, int]]] = [[]]
    index = 0
    while index < len(text):
        if text[index].isspace():
            index += 1
        elif text[index] == "|":
            bars.append([])
            index += 1
        elif found := signs.match(text, index):
            bars[-1].append((found[0], index + 1))
            index = found.end()
        else:
            raise HarmonyError(
                f"{text[index]!r} is unknown here",
                place=Place("", 1, index + 1, text),
                rule=legend,
            )
    whole = [bar for bar in bars if bar]
    if not 1 <= len(whole) <= MOST_BARS:
        raise HarmonyError(
            f"{len(whole)} bars", place=Place("", 1, 1, text), rule=f"1 to {MOST_BARS} bars"
        )
    return tuple(tuple(_placed(bar, meter, text)) for bar in whole)


def _placed(bar: list[tuple[str, int]], meter: Meter, text: str) -> Iterator[Sign]:
    length, beat = bar_length(meter), beat_length(meter)
    counts = [int(length / beat) * each for each in divisions(meter)]
    if len(bar) not in counts:
        raise HarmonyError(
            f"{len(bar)} places in a bar of {write_meter(meter)}",
            place=Place("", 1, bar[0][1], text),
            rule=f"{', '.join(map(str, counts[:-1]))} or {counts[-1]} places, "
            "each a stroke or - where the strings ring on",
        )
    for number, (sign, column) in enumerate(bar):
        yield Sign(sign, number * length / len(bar), column)


def row(bars: Iterable[dict[Fraction, str]], meter: Meter) -> str:
    """Return signs by their places as a row, as short as it can be.

    Examples
    --------
    >>> row([{Fraction(0): "D", Fraction(3, 2): "U"}], (4, 4))
    'D - - U - - - -'
    """
    return " | ".join(" ".join(_written(bar, meter)) for bar in bars)


def _written(bar: dict[Fraction, str], meter: Meter) -> Iterator[str]:
    beat = beat_length(meter)
    needed = lcm(*((at / beat).denominator for at in bar)) if bar else 1
    each = next((n for n in divisions(meter) if n % needed == 0), needed)
    step = beat / each
    for number in range(int(bar_length(meter) / step)):
        yield bar.get(number * step, "-")
