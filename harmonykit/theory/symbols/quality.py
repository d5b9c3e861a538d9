"""The table of chord qualities, and the tones of a chord that players leave out."""

from functools import lru_cache

from harmonykit.theory.degree import Degree, degrees
from harmonykit.values import dataclass

# Plain suffix, printed suffix, degrees.  The order is the order in which names are preferred.
# Degrees: MusicXML 4.0 kind values (W3C 2021) and common practice; 6/9, 7b5 and sus by the latter.
_QUALITY_ROWS = (
    ("", "", "1 3 5"),
    ("m", "m", "1 b3 5"),
    ("7", "7", "1 3 5 b7"),
    ("maj7", "maj7", "1 3 5 7"),
    ("m7", "m7", "1 b3 5 b7"),
    ("6", "6", "1 3 5 6"),
    ("m6", "m6", "1 b3 5 6"),
    ("dim7", "°7", "1 b3 b5 bb7"),
    ("m7b5", "m7♭5", "1 b3 b5 b7"),
    ("7b5", "7♭5", "1 3 b5 b7"),
    ("7#5", "7♯5", "1 3 #5 b7"),
    ("mb5", "m♭5", "1 b3 b5"),
    ("+", "+", "1 3 #5"),
    ("mmaj7", "m(maj7)", "1 b3 5 7"),
    ("maj7#5", "maj7♯5", "1 3 #5 7"),
    ("maj7b5", "maj7♭5", "1 3 b5 7"),
    ("dim(maj7)", "°(maj7)", "1 b3 b5 7"),
    ("sus4", "sus4", "1 4 5"),
    ("sus2", "sus2", "1 2 5"),
    ("7sus4", "7sus4", "1 4 5 b7"),
    ("5", "5", "1 5"),
    ("add9", "add9", "1 3 5 9"),
    ("m(add9)", "m(add9)", "1 b3 5 9"),
    ("6/9", "6/9", "1 3 5 6 9"),
    ("m6/9", "m6/9", "1 b3 5 6 9"),
    ("9", "9", "1 3 5 b7 9"),
    ("maj9", "maj9", "1 3 5 7 9"),
    ("m9", "m9", "1 b3 5 b7 9"),
    ("mmaj9", "m(maj9)", "1 b3 5 7 9"),
    ("7b9", "7♭9", "1 3 5 b7 b9"),
    ("7#9", "7♯9", "1 3 5 b7 #9"),
    ("9sus4", "9sus4", "1 4 5 b7 9"),
    ("11", "11", "1 3 5 b7 9 11"),
    ("maj11", "maj11", "1 3 5 7 9 11"),
    ("m11", "m11", "1 b3 5 b7 9 11"),
    ("7#11", "7♯11", "1 3 5 b7 #11"),
    ("9#11", "9♯11", "1 3 5 b7 9 #11"),
    ("maj7#11", "maj7♯11", "1 3 5 7 #11"),
    ("13", "13", "1 3 5 b7 9 11 13"),
    ("maj13", "maj13", "1 3 5 7 9 11 13"),
    ("m13", "m13", "1 b3 5 b7 9 11 13"),
    ("13sus4", "13sus4", "1 4 5 b7 9 13"),
    ("13b9", "13♭9", "1 3 5 b7 b9 13"),
    ("13#9", "13♯9", "1 3 5 b7 #9 13"),
    ("7b13", "7♭13", "1 3 5 b7 b13"),
    ("sus2sus4", "sus2sus4", "1 2 4 5"),
    ("6sus4", "6sus4", "1 4 5 6"),
    ("maj7sus4", "maj7sus4", "1 4 5 7"),
    ("7sus2", "7sus2", "1 2 5 b7"),
    ("add11", "add11", "1 3 5 11"),
    ("m(add11)", "m(add11)", "1 b3 5 11"),
    ("alt", "alt", "1 3 b7 b9 #9 #11 b13"),
)


@dataclass(frozen=True, slots=True)
class Quality:
    """A named chord quality: plain and printed suffix, and its degrees.

    Examples
    --------
    >>> BY_SUFFIX["m7b5"].printed, [degree.name for degree in BY_SUFFIX["dim7"].degrees]
    ('m7♭5', ['1', 'b3', 'b5', 'bb7'])
    """

    suffix: str
    printed: str
    degrees: tuple[Degree, ...]


QUALITIES = tuple(Quality(suffix, printed, degrees(row)) for suffix, printed, row in _QUALITY_ROWS)
BY_SUFFIX = {quality.suffix: quality for quality in QUALITIES}
BY_DEGREES = {quality.degrees: quality for quality in QUALITIES}

# Which stacked tones players leave out beside the plain fifth: the third that clashes with a
# natural eleventh, and what the name's last number brings along without saying so.
_THIRD, _FIFTH = Degree(3), Degree(5)
_SEVENTH, _FLAT_SEVENTH = Degree(7), Degree(7, -1)
_FLAT_NINTH, _SHARP_NINTH = Degree(9, -1), Degree(9, 1)
ALT = BY_SUFFIX["alt"].degrees
_NINTH, _ELEVENTH, _THIRTEENTH = Degree(9), Degree(11), Degree(13)


@lru_cache(maxsize=512)
def droppable(found: tuple[Degree, ...]) -> frozenset[int]:
    """Return the semitones of the tones that players leave out of a chord of these degrees.

    Examples
    --------
    >>> sorted(droppable(BY_SUFFIX["7b9"].degrees)), sorted(droppable(BY_SUFFIX["m7b5"].degrees))
    ([0, 7], [])
    """
    if found == ALT:
        return frozenset((0, 1, 3, 6, 8))
    drop = _stacked(frozenset(found))
    if _FIFTH in found and len(found) > 3:
        drop.add(_FIFTH)
    if {_THIRD, _FLAT_SEVENTH, _FLAT_NINTH} <= set(found) and _SHARP_NINTH not in found:
        drop.add(Degree(1))
    return frozenset(degree.pitch_class for degree in drop)


def _stacked(found: frozenset[Degree]) -> set[Degree]:
    if _THIRTEENTH in found:
        return {_NINTH, _ELEVENTH} & found
    if _ELEVENTH not in found or _NINTH not in found:
        return set()
    if _THIRD not in found:
        return {_NINTH}
    return {_THIRD} if _SEVENTH in found else {_THIRD, _NINTH}
