"""Chords among chords: the nearest ones, and those one semitone apart.

Conventions, and what a chord may be, are those of ``harmonykit.theory.leading.voiceleading``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Generic, NamedTuple, TypeVar

from harmonykit.theory.leading.voiceleading import Chordlike, distance_matrix
from harmonykit.theory.sets.pcset import HasPcs, PcSet, as_pcset

C = TypeVar("C", bound=Chordlike)
S = TypeVar("S", bound=PcSet | HasPcs)


class Neighbour(NamedTuple, Generic[C]):
    """A chord and how far away it is, in semitones.

    Examples
    --------
    >>> nearest((0, 4, 7), [(0, 4, 8), (1, 5, 8)])
    (Neighbour(chord=(0, 4, 8), distance=1),)
    """

    chord: C
    distance: float


def nearest(
    chord: Chordlike,
    candidates: Iterable[C],
    count: int = 1,
    norm: float = 1,
    doubling: bool = False,
) -> tuple[Neighbour[C], ...]:
    """Return the nearest of the candidates, nearest first and otherwise in the order given.

    Parameters
    ----------
    count : int
        How many; where those at the last place tie, all of them come.

    Examples
    --------
    >>> dominants = [PcSet.of(0, 4, 7, 10).transpose(n) for n in range(12)]
    >>> [near.chord for near in nearest(PcSet.of(2, 5, 8, 11), dominants)]
    [PcSet.of(1, 5, 8, 11), PcSet.of(2, 4, 8, 11), PcSet.of(2, 5, 7, 11), PcSet.of(2, 5, 8, 10)]
    """
    listed = list(candidates)
    distances = distance_matrix([chord], norm, doubling, listed)[0].tolist()
    ranked = sorted(zip(distances, range(len(listed)), strict=True))
    farthest = ranked[min(count, len(ranked)) - 1][0] if ranked and count > 0 else -1
    return tuple(Neighbour(listed[at], away) for away, at in ranked if away <= farthest)


def single_semitone_edges(chords: Iterable[S]) -> tuple[tuple[S, S], ...]:
    """Return the pairs of chords that differ by one note moved a semitone, each pair once.

    Pairs stand in the order of the chords given, so that they are the edges of a graph on these.

    Examples
    --------
    >>> chords = [PcSet.of(0, 4, 7), PcSet.of(0, 3, 7), PcSet.of(4, 7, 11), PcSet.of(2, 7, 11)]
    >>> single_semitone_edges(chords)
    ((PcSet.of(0, 4, 7), PcSet.of(0, 3, 7)), (PcSet.of(0, 4, 7), PcSet.of(4, 7, 11)))
    """
    listed = list(chords)
    sets = [as_pcset(chord) for chord in listed]
    places: dict[PcSet, list[int]] = {}
    for place, pcs in enumerate(sets):
        places.setdefault(pcs, []).append(place)
    found = sorted(
        (here, there)
        for here, pcs in enumerate(sets)
        for near in _semitone_away(pcs)
        for there in places.get(near, ())
        if here < there
    )
    return tuple((listed[here], listed[there]) for here, there in found)


def _semitone_away(pcs: PcSet) -> Iterator[PcSet]:
    for note in pcs:
        for moved in ((note - 1) % 12, (note + 1) % 12):
            if moved not in pcs:
                yield PcSet(pcs.mask ^ 1 << note ^ 1 << moved)
