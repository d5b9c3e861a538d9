"""A strum in words, for who teaches it: what the hand does, and what is counted.

Conventions.  Beats stand between commas, bars between semicolons.  A beat's halves are counted
"one-and", its thirds "one-and-a", its quarters "one-e-and-a"; the number of a beat without a stroke
stands in brackets: it is thought (common practice, no source).
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from harmonykit.tune.bar import Meter, bar_length, beat_length
from harmonykit.tune.groove.strokes import MUTED, ROLLED, STOPPED, Stroke

_NUMBERS = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip
_THIRDS = {Fraction(1, 3): "and", Fraction(2, 3): "a"}
_QUARTERS = {Fraction(1, 4): "e", Fraction(1, 2): "and", Fraction(3, 4): "a"}
_EVEN = {Fraction(n, 6): word for n, word in enumerate(("", "la", "and", "la", "a", "la")) if word}
_SIGNS = {"and": "&"}

Bars = Iterable[tuple[Stroke, ...]]


def hand_words(bars: Bars, meter: Meter) -> str:
    """Return what the hand does: ``"down, down-up, up, down-up"``."""
    return _row(", ".join(_hands(bar, meter)) for bar in bars)


def count_words(bars: Bars, meter: Meter) -> str:
    """Return what is counted: ``"one, two-and, (three)-and, four-and"``."""
    return _row(", ".join(_counts(bar, meter)) for bar in bars)


def _row(bars: Iterable[str]) -> str:
    """Return the words of bars one after another; once where all have the same."""
    said = list(bars)
    return said[0] if len(set(said)) == 1 else "; ".join(said)


def syllable(at: Fraction, beat: Fraction) -> str:
    """Return what is written under a place of a bar: the number of its beat, or its part of it.

    Examples
    --------
    >>> [syllable(Fraction(n, 2), Fraction(1)) for n in range(3)]
    ['1', '&', '2']
    >>> [syllable(Fraction(n, 2), Fraction(3, 2)) for n in range(3)]
    ['1', '&', 'a']
    """
    number, part = divmod(at / beat, 1)
    return str(int(number) + 1) if not part else _SIGNS.get(_part(part), _part(part))


def _part(part: Fraction) -> str:
    for words in (_THIRDS, _QUARTERS, _EVEN):
        if part in words:
            return words[part]
    return "and"


def _beats(bar: tuple[Stroke, ...], meter: Meter) -> Iterator[tuple[int, list[Stroke]]]:
    """Yield each beat with what is struck in it."""
    beat = beat_length(meter)
    struck = [one for one in bar if one.how != STOPPED]
    for number in range(int(bar_length(meter) / beat)):
        yield number, [one for one in struck if one.at // beat == number]


def _hands(bar: tuple[Stroke, ...], meter: Meter) -> Iterator[str]:
    for _, struck in _beats(bar, meter):
        if struck:
            yield "-".join(map(_hand, struck))


def _hand(stroke: Stroke) -> str:
    named = {MUTED: "mute", ROLLED: "roll"}
    return named.get(stroke.how, "down" if stroke.down else "up")


def _counts(bar: tuple[Stroke, ...], meter: Meter) -> Iterator[str]:
    beat = beat_length(meter)
    for number, struck in _beats(bar, meter):
        parts = [one.at / beat % 1 for one in struck]
        name = _NUMBERS[number] if number < len(_NUMBERS) else str(number + 1)
        if parts:
            head = name if not parts[0] else f"({name})"
            yield "-".join([head, *(_part(part) for part in parts if part)])
