"""How a groove sounds: swing, how hard and how fast a stroke is, and what no two bars have alike.

Conventions.  Places are quarters from the start of a whole bar.  Everything here is common practice
without a published source, and each is a default that a player may leave.  What is chance follows
from the groove's seed, the bar in playing order and the place: a bar sounds alike in a loop, in a
stem and in the whole tune.
"""

from fractions import Fraction
from functools import lru_cache
from random import Random

from harmonykit.tune.bar import Meter, beat_length
from harmonykit.tune.groove.strokes import MUTED, ROLLED, Stroke
from harmonykit.tune.groove.value import EASES, Groove
from harmonykit.values import dataclass

# From the first string, which sounds on the beat, to the last, in seconds: 15 to 35 ms.
DOWN_SPREAD, UP_SPREAD, HELD_SPREAD, ROLL_SPREAD = 0.025, 0.018, 0.035, 0.12
ACCENT, PLAIN, UP, GHOST, MUTE = 100, 80, 68, 46, 72
# A muted string is heard no longer than this.
MUTED_SECONDS = 0.06
# An up-stroke is lighter with each string: the hand leaves them.
_LIGHTER = 3

_SWING_FROM, _SWING_TO = 120.0, 200.0
# A stroke is never farther from its place than this part of a quarter, and of what it may be so
# much is the bar's, common to all parts.
_MOST_OF_QUARTER, _OF_BAR = 0.05, 0.4
# Two thirds of all strokes are nearer than this part of the bound.
_USUAL = 0.5


def velocity(stroke: Stroke) -> int:
    """Return how hard a stroke is, on the scale of MIDI.

    Examples
    --------
    >>> velocity(Stroke(Fraction(0), accent=True)), velocity(Stroke(Fraction(0), ghost=True))
    (100, 46)
    """
    if stroke.ghost:
        return GHOST
    if stroke.accent:
        return ACCENT
    if stroke.how == MUTED:
        return MUTE
    return PLAIN if stroke.down else UP


def spread(stroke: Stroke) -> float:
    """Return the seconds from the first string of a stroke to the last."""
    if stroke.how == ROLLED:
        return ROLL_SPREAD
    return DOWN_SPREAD if stroke.down else UP_SPREAD


def lighter(stroke: Stroke, place: int) -> int:
    """Return how much softer a string is than the first that a stroke reaches."""
    return 0 if stroke.down else _LIGHTER * place


def swing_ratio(tempo: float) -> float:
    """Return how much longer the first half of a beat is where swing follows the tempo.

    2:1 up to 120 quarter notes a minute, easing to 3:2 at 200 and beyond.

    Examples
    --------
    >>> swing_ratio(90), swing_ratio(160), swing_ratio(240)
    (2.0, 1.75, 1.5)
    """
    share = min(max((tempo - _SWING_FROM) / (_SWING_TO - _SWING_FROM), 0.0), 1.0)
    return 2.0 - 0.5 * share


def ratio_of(groove: Groove, tempo: float) -> float:
    """Return how much longer the first half of a beat is than the second in a groove."""
    return swing_ratio(tempo) if groove.swing == EASES else groove.swing


def swung(at: Fraction, meter: Meter, ratio: float) -> float:
    """Return where a place in a bar sounds, in quarters: the halves of plain beats are swung.

    Examples
    --------
    >>> swung(Fraction(3, 2), (4, 4), 2) == 1 + 2 / 3, swung(Fraction(1), (6, 8), 2)
    (True, 1.0)
    """
    if ratio == 1 or beat_length(meter).numerator == 3 or meter[1] > 4:
        return float(at)
    first = ratio / (1 + ratio)
    # Whole numbers: there are thousands of places in a lesson.
    beat, over = divmod(at.numerator, at.denominator)
    past = 2 * over - at.denominator
    if past <= 0:
        return beat + 2 * over / at.denominator * first
    return beat + (first + past / at.denominator * (1 - first))


@dataclass(frozen=True, slots=True)
class Human:
    """How early, late, loud and soft a part is, place by place.

    Parameters
    ----------
    groove : Groove
        With its bounds and its seed.
    tempo : float
        Quarters a minute.
    part : str
        Parts have chances of their own; the bar leans for all of them together.
    """

    groove: Groove
    tempo: float
    part: str

    def late(self, bar: int, at: Fraction) -> float:
        """Return how many seconds a stroke is late, less than 0 where it is early."""
        bound = min(self.groove.timing / 1000, _MOST_OF_QUARTER * 60 / self.tempo)
        lean = self._chance("lean", bar, Fraction(0), "")
        own = self._chance("late", bar, at, self.part)
        return bound * (_OF_BAR * lean + (1 - _OF_BAR) * own)

    def louder(self, bar: int, at: Fraction) -> int:
        """Return how much louder a stroke is, less than 0 where it is softer."""
        return round(self.groove.dynamics * self._chance("loud", bar, at, self.part))

    def _chance(self, what: str, bar: int, at: Fraction, part: str) -> float:
        """Return a number from -1 to 1, mostly near 0."""
        if not self.groove.timing and not self.groove.dynamics:
            return 0.0
        return _chance(f"{self.groove.seed} {what} {part} {bar} {at}")


@lru_cache(maxsize=1 << 13)
def _chance(named: str) -> float:
    """Return a chance by its name: the levels of a lesson, and a bar alone, have it again."""
    return min(max(Random(named).gauss(0.0, _USUAL), -1.0), 1.0)
