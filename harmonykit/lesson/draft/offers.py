"""What a tune offers to a lesson: the moves that find places in it, and at which reach.

A move is offered at the first of two settings at which the search adds a chord by it: a usual reach
and a second for each chord, then a wide reach and half a second.
"""

from collections.abc import Iterable

from harmonykit.arrange.arrangement import Arrangement, Step, Tune
from harmonykit.arrange.moves import Setting
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import FULL, Wishes
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.level_checks import is_offered
from harmonykit.lesson.plan.levels import LEAST_SECONDS
from harmonykit.values import dataclass

SLOWEST = 40
SHARES = {1: 0.6, 2: 0.7, 3: 0.85}
"""The share of the tune's tempo for each reach of the hand, 1 to 3."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One or several moves that find places in a tune, and how.

    Parameters
    ----------
    moves : tuple of str
    hand : int in 1..3
        The reach that it takes.
    added : tuple of Step
        What the search adds, in playing order.
    """

    moves: tuple[str, ...]
    hand: int
    added: tuple[Step, ...]

    @property
    def bars(self) -> tuple[int, ...]:
        """The bars with an added chord, in playing order from 0, each once."""
        return tuple(dict.fromkeys(step.bar for step in self.added))


def tempo_at(tune: Tune, hand: int) -> int:
    """Return the tempo of a draft's level, in quarter notes a minute."""
    return max(SLOWEST, round(tune.tempo * SHARES[hand]))


def offers(tune: Tune, instrument: Instrument, moves: Iterable[str]) -> tuple[Offer, ...]:
    """Return what the tune offers: for each move that finds a place, where.

    Those with few places come first, so that a lesson goes from a few added chords to many; of
    equal ones, that whose first place comes first.
    """
    found = [offer for move in moves if (offer := offer_of(tune, instrument, (move,)))]
    return tuple(sorted(found, key=lambda offer: (len(offer.bars), offer.bars)))


def offer_of(
    tune: Tune, instrument: Instrument, moves: tuple[str, ...], least: int = 2
) -> Offer | None:
    """Return where some moves find places, at the smallest reach that has one.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    moves : tuple of str
    least : int in 2..3
        The reach to begin with.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> blues = read_tune(find_data("tunes", "ropewalk_blues"))
    >>> offer = offer_of(blues, Instrument.named("ukulele"), ("tritone substitution",))
    >>> offer and (offer.hand, [bar + 1 for bar in offer.bars])
    (2, [4, 9, 10])
    >>> offer_of(blues, Instrument.named("ukulele"), ("descending passing diminished",)) is None
    True
    """
    for hand in range(least, 4):
        if any(may_apply(tune, move, hand) for move in moves):
            added = _arranged(tune, instrument, moves, hand).added
            if added:
                return Offer(moves, hand, added)
    return None


def may_apply(tune: Tune, move: str, hand: int) -> bool:
    """Whether a move's rules allow it anywhere, whatever the shapes are."""
    pace, least = tempo_at(tune, hand), LEAST_SECONDS[hand - 1]
    setting = Setting(tune.key, tune.melody, pace, least, across_sections=True)
    return is_offered(move, tune, setting)


def _arranged(tune: Tune, instrument: Instrument, moves: tuple[str, ...], hand: int) -> Arrangement:
    return reharmonise(
        tune,
        instrument,
        moves,
        1,
        wishes=Wishes(
            limits=limits_at(hand, instrument),
            tempo=tempo_at(tune, hand),
            least_seconds=LEAST_SECONDS[hand - 1],
            prefer=moves[0] if len(moves) == 1 else "",
            density=FULL,
        ),
    )[0]
