"""A tune as written with one shape for each chord, as a player keeps it through the tune."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.part_prices import Choice
from harmonykit.arrange.shapes import by_book
from harmonykit.arrange.space import Search, search_space
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune
from harmonykit.values import replace

_USUAL = 250
"""What the shape may cost with which a chord book begins; ten is a semitone of one voice."""


def one_shape_each(
    tune: Tune, instrument: Instrument, wishes: Wishes, name: str = ""
) -> Arrangement | None:
    """Return a tune as written in which a chord has the same shape wherever it comes, or None.

    The search has the best shape for each place.  Of the shapes that a chord then has, and the one
    that a chord book begins with, it keeps that with which the whole costs least: first the chord
    with most shapes, and so on until none has two.  Then each takes the shape of the chord book
    where that costs little.
    """
    space = search_space(tune, instrument, (), wishes)
    ways = space.network.cheapest(1)
    if not ways:
        return None
    (cost, way), fixed = ways[0], dict[Chord, Voicing]()
    while several := _several(way):
        chord, shapes = max(several.items(), key=lambda each: (len(each[1]), sum(each[1].values())))
        tried = (
            (shape, _fixed(space, fixed | {chord: shape}))
            for shape in dict.fromkeys((*shapes, *_first(chord, space)))
        )
        found = [(*priced, shape) for shape, priced in tried if priced is not None]
        if not found or chord in fixed:
            break
        cost, way, fixed[chord] = min(found, key=lambda each: each[0])
    fixed |= {c.part.chord: c.voicing for c in way if c.part.chord and c.voicing}
    for chord, shape in [*fixed.items()]:
        for first in _first(chord, space):
            usual = None if shape == first else _fixed(space, fixed | {chord: first})
            if usual is not None and usual[0] <= cost + _USUAL:
                (cost, way), fixed[chord] = usual, first
    return space.arrangement(cost, way, name)


def _first(chord: Chord, space: Search) -> tuple[Voicing, ...]:
    """Return the shape with which a chord book begins, if there is one."""
    return by_book(chord, space.instrument, space.limits)[:1]


def _several(way: Sequence[Choice]) -> dict[Chord, Counter[Voicing]]:
    """Return the chords that have several shapes, each shape with how often it comes."""
    uses: dict[Chord, Counter[Voicing]] = defaultdict(Counter)
    for choice in way:
        if choice.part.chord is not None and choice.voicing is not None:
            uses[choice.part.chord][choice.voicing] += 1
    return {chord: shapes for chord, shapes in uses.items() if len(shapes) > 1}


def _fixed(space: Search, shapes: Mapping[Chord, Voicing]) -> tuple[int, list[Choice]] | None:
    """Return the cheapest way in which some chords have the shapes given, at the usual prices."""
    known = tuple((chord, (shape,)) for chord, shape in shapes.items())
    narrow = search_space(space.tune, space.instrument, (), replace(space.wishes, known=known))
    for _, way in narrow.network.cheapest(1):
        cost = space.network.price_of(way)
        return None if cost is None else (cost, way)
    return None
