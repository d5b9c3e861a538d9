"""How a hand strums: strokes by metre, swing, and the spread of the strings.

Conventions.  Places are quarters from the start of a whole bar.  Everything here is common practice
without a published source, and each is a default that a player may leave.
"""

from dataclasses import dataclass
from fractions import Fraction

from harmonykit.tune.bar import Meter, bar_length, beat_length

# From the first string, which sounds on the beat, to the last, in seconds: 15 to 35 ms.
DOWN_SPREAD, UP_SPREAD, HELD_SPREAD = 0.025, 0.018, 0.035
ACCENT, PLAIN, UP = 100, 80, 64

_SWING_FROM, _SWING_TO = 120.0, 200.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """One stroke of the hand.

    Parameters
    ----------
    at : Fraction
        Quarters from the start of a whole bar.
    down : bool
        Down crosses the strings in their order, up the other way.
    accent : bool
    held : bool
        The last chord, struck more slowly.
    """

    at: Fraction
    down: bool = True
    accent: bool = False
    held: bool = False

    @property
    def velocity(self) -> int:
        """How hard, on the scale of MIDI."""
        return ACCENT if self.accent else PLAIN if self.down else UP

    @property
    def spread(self) -> float:
        """Seconds from the first string to the last."""
        if self.held:
            return HELD_SPREAD
        return DOWN_SPREAD if self.down else UP_SPREAD


# Strokes in each beat; accents.  An up-stroke fills a beat's second half, in a dotted beat its
# last third.
_PATTERNS: dict[int, tuple[tuple[str, ...], tuple[int, ...]]] = {
    2: (("D", "D"), (1,)),
    3: (("D", "DU", "DU"), (0,)),
    4: (("D", "D", "D", "D"), (1, 3)),
    5: (("D", "DU", "D", "D", "DU"), (0, 3)),
}


def strokes(meter: Meter) -> tuple[Stroke, ...]:
    """Return the strokes of a whole bar.

    4/4 has four downs with accents on two and four, 3/4 D DU DU, 6/8 D-U twice, 5/4 D DU D, D DU.

    Examples
    --------
    >>> [(str(s.at), "D" if s.down else "U") for s in strokes((6, 8))]
    [('0', 'D'), ('1', 'U'), ('3/2', 'D'), ('5/2', 'U')]
    """
    beat = beat_length(meter)
    count = int(bar_length(meter) / beat)
    dotted = beat.numerator == 3
    plain = (("DU" if dotted else "D",) * count, (0,))
    hands, accents = plain if dotted else _PATTERNS.get(count, plain)
    found = []
    for index, hand in enumerate(hands):
        found.append(Stroke(index * beat, accent=index in accents))
        if hand == "DU":
            late = Fraction(2, 3) if dotted else Fraction(1, 2)
            found.append(Stroke((index + late) * beat, down=False))
    return tuple(found)


def swing_ratio(tempo: float) -> float:
    """Return how much longer the first half of a swung beat is than the second.

    2:1 up to 120 quarter notes a minute, easing to 3:2 at 200 and beyond.

    Examples
    --------
    >>> swing_ratio(90), swing_ratio(160), swing_ratio(240)
    (2.0, 1.75, 1.5)
    """
    share = min(max((tempo - _SWING_FROM) / (_SWING_TO - _SWING_FROM), 0.0), 1.0)
    return 2.0 - 0.5 * share


def swung(at: Fraction, meter: Meter, tempo: float) -> float:
    """Return where a place in a bar sounds, in quarters: in 4/4 the beats' halves are swung.

    Examples
    --------
    >>> swung(Fraction(3, 2), (4, 4), 100) == 1 + 2 / 3, swung(Fraction(3, 2), (3, 4), 100)
    (True, 1.5)
    """
    if meter != (4, 4):
        return float(at)
    beat, part = divmod(at, 1)
    ratio = swing_ratio(tempo)
    first = ratio / (1 + ratio)
    half = Fraction(1, 2)
    inside = part / half * first if part <= half else first + (part - half) / half * (1 - first)
    return int(beat) + float(inside)
