"""Where a fermata stops the clock.

A fermata holds what sounds at its place, up to the next chord or melody note and not past its bar:
twice as long as written, but never more than two beats longer.  The chord is struck once, and the
click waits (common practice, no source).

Conventions.  Quarters are counted from the start of the tune as played.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.tune.bar import beat_length

_MOST_BEATS = 2


@dataclass(frozen=True, slots=True)
class Hold:
    """What a fermata holds.

    Parameters
    ----------
    bar : int
        The bar in playing order, counted from 0.
    onset, until : Fraction
        Where what is held begins and ends, in quarters.
    more : Fraction
        How much longer it is held, in quarters.
    """

    bar: int
    onset: Fraction
    until: Fraction
    more: Fraction


def holds_of(arrangement: Arrangement) -> tuple[Hold, ...]:
    """Return what the fermatas of an arrangement hold, in playing order."""
    return tuple(_holds(arrangement))


def _holds(arrangement: Arrangement) -> Iterator[Hold]:
    playing = arrangement.tune.playing
    if not any(played.bar.fermatas for played in playing):
        return
    entries = {step.onset for step in arrangement.steps}
    entries |= {sung.onset for sung in arrangement.tune.melody}
    for index, played in enumerate(playing):
        end = played.onset + played.bar.length
        places = [played.onset + at for at in played.bar.fermatas]
        most = _MOST_BEATS * beat_length(played.bar.meter)
        for onset, after in pairwise([*places, end]):
            until = min((entry for entry in entries if onset < entry < after), default=after)
            yield Hold(index, onset, until, min(until - onset, most))
