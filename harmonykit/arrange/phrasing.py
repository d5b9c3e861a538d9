"""Where phrases end, and which bars go in pairs."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from harmonykit.tune.analysis.phrases import find_phrases
from harmonykit.tune.tune import Tune


def phrasing(tune: Tune) -> tuple[frozenset[int], frozenset[int], Mapping[int, int]]:
    """Return how the bars of a tune, as played from 0, make phrases.

    Returns
    -------
    frozenset of int, frozenset of int, mapping of int to int
        The bars in which a phrase ends; those that are the second of a pair; and where each bar
        stands in its phrase, from 0.

    Examples
    --------
    >>> ends, seconds, places = phrasing(Tune.parse("| C | F | G7 | C | F | C |", key="C"))
    >>> sorted(ends), sorted(seconds), places[4]
    ([3, 5], [1, 3, 5], 0)
    """
    ends, seconds, places = set[int](), set[int](), dict[int, int]()
    playing = tune.playing
    for phrase in find_phrases(tune):
        bars = [n for n in range(phrase.first_bar, phrase.last_bar + 1) if playing[n].bar.number]
        ends |= set(bars[-1:])
        seconds |= set(bars[1::2])
        places |= {bar: place for place, bar in enumerate(bars)}
    return frozenset(ends), frozenset(seconds), MappingProxyType(places)
