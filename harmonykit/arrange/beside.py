"""What another arrangement plays at the same time, and which variants sound together with it.

A part does not sound together where it has more pairs of semitones with a chord that sounds at the
same time than are heard as colour (``together``), and more than the tune's own chord has.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache

from harmonykit.arrange.demands import Chosen
from harmonykit.arrange.moves.rule import Part, Variant, Web
from harmonykit.arrange.together import MOST_PAIRS, semitone_pairs
from harmonykit.theory.chord import Chord
from harmonykit.tune.playing import Change


class Beside:
    """What sounds beside an arrangement that is being made.

    Parameters
    ----------
    others : sequence of Chosen
        What each of the others plays: chords, each with its onset and its length in quarters.
    changes : sequence of Change
        The tune's own chords in playing order.
    """

    def __init__(self, others: Sequence[Chosen], changes: Sequence[Change]) -> None:
        self._others = [(list(other), [onset for _, onset, _ in other]) for other in others]
        self._written = changes
        self._starts = [change.onset for change in changes]

    def kept(self, found: Variant | Web) -> Variant | Web | None:
        """Return what of a variant or a web sounds together with all others; None if nothing."""
        if isinstance(found, Web):
            return _thinned(found, self.fits)
        return found if all(map(self.fits, found.parts)) else None

    def fits(self, part: Part) -> bool:
        """Whether a part sounds together with all that sounds at its time."""
        if part.chord is None:
            return True
        place = bisect_right(self._starts, part.onset) - 1
        written = self._written[max(place, 0)].chord
        return all(
            _pairs(part.chord, other) <= max(MOST_PAIRS, _pairs(written, other) if written else 0)
            for other in self._sounding(part.onset, part.onset + part.beats)
        )

    def _sounding(self, start: Fraction, end: Fraction) -> Iterator[Chord]:
        for other, onsets in self._others:
            for chord, onset, beats in other[max(bisect_right(onsets, start) - 1, 0) :]:
                if onset >= end:
                    break
                if chord is not None and onset + beats > start:
                    yield chord


_pairs = lru_cache(maxsize=4096)(semitone_pairs)


def _thinned(web: Web, fits: Callable[[Part], bool]) -> Web | None:
    """Return a web without the parts that do not fit; None where nothing can end it."""
    places: dict[int, int] = {}
    parts, befores = list[Part](), list[tuple[int, ...]]()
    for place, (part, before) in enumerate(zip(web.parts, web.before, strict=True)):
        left = tuple(places[one] for one in before if one in places)
        if fits(part) and (left or not before):
            places[place] = len(parts)
            parts.append(part)
            befores.append(left)
    exits = tuple(places[place] for place in web.exits if place in places)
    rested = frozenset(places[place] for place in web.rested if place in places)
    return Web(tuple(parts), tuple(befores), exits, rested) if exits else None
