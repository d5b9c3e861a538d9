"""The least movement between many chords at once: ``matching`` on arrays.

Conventions.  A *plane* holds one price for each pair of a chord of a (rows) and a chord of b
(columns); all chords of a have one number of notes, and so have all of b.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.theory.leading.matching import SIZES, least_of, plain_cost
from harmonykit.theory.leading.staircase import Notes, totals

Array = NDArray[Any]

_BLOCK = 1 << 18  # distances computed at once: some megabytes


def least_all(
    rows: Sequence[Notes], columns: Sequence[Notes], norm: float, *, doubling: bool
) -> Array:
    """Return ``matching.least`` of every chord of ``rows`` with every chord of ``columns``.

    Pairs of different sizes are matched with doubling.

    Returns
    -------
    array of shape (rows, columns)
        Whole numbers: semitones, or their squares for norm 2.

    Examples
    --------
    >>> least_all([(0, 4, 7)], [(0, 4, 8), (0, 3, 6, 9)], 2, doubling=False).tolist()
    [[1, 6]]
    """
    return _by_sizes(rows, columns, lambda a, b: _round_the_circle(a, b, norm, doubling=doubling))


def pitch_semitones(before: Sequence[Notes], after: Sequence[Notes]) -> Array:
    """Return ``staircase.pair_semitones`` of every chord of pitches with every other.

    Returns
    -------
    array of shape (before, after)
        Semitones, whole.

    Examples
    --------
    >>> pitch_semitones([(60, 64, 67)], [(60, 65, 69), (59, 62, 65, 67)]).tolist()
    [[3, 4]]
    """
    (a, of_a), (b, of_b) = _side_by_side(before), _side_by_side(after)
    found = np.zeros((len(before), len(after)), dtype=np.int64)
    if not (of_a and of_b):
        return found
    least = min(np.min(a), np.min(b))
    most = int(max(np.max(a), np.max(b)) - least + 1) * (len(a) + len(b))
    # As few bytes as hold any sum, two for pitches: gone through in a quarter of the time.
    a, b = ((each - least).astype(np.min_scalar_type(-most)) for each in (a, b))
    gaps = np.abs(a[:, None, :, None] - b[None, :, None, :])
    straight = np.zeros_like(gaps[0, 0])
    # A staircase down the first notes of both is that of smaller chords: one does for all sizes.
    for i, line in enumerate(totals(map(list, gaps), _fewest), 1):
        if i <= len(b):
            straight = straight + gaps[i - 1, i - 1]
        for j in of_b if i in of_a else ():
            places = np.ix_(of_a[i], of_b[j])
            found[places] = (straight if i == j else line[j - 1])[places]
    return found


def _side_by_side(chords: Sequence[Notes]) -> tuple[Array, dict[int, list[int]]]:
    """Return chords as columns, smaller ones filled up, and the places of those of each size."""
    of_size: dict[int, list[int]] = {}
    for place, chord in enumerate(chords):
        if chord:
            of_size.setdefault(len(chord), []).append(place)
    most = max(of_size, default=0)
    rows = [chord + (chord or (0,))[-1:] * (most - len(chord)) for chord in chords]
    return np.array(rows, dtype=np.int64).reshape(len(rows), most).T, of_size


def _by_sizes(
    rows: Sequence[Notes], columns: Sequence[Notes], between: Callable[[Array, Array], Array]
) -> Array:
    found = np.zeros((len(rows), len(columns)), dtype=np.int64)
    for here, a in _of_each_size(rows):
        for there, b in _of_each_size(columns):
            found[np.ix_(here, there)] = between(a, b)
    return found


def _of_each_size(chords: Sequence[Notes]) -> Iterator[tuple[list[int], Array]]:
    """Give the chords of each size as one array, a row each, with their places."""
    for size in sorted({len(chord) for chord in chords}):
        places = [place for place, chord in enumerate(chords) if len(chord) == size]
        yield places, np.array([chords[place] for place in places], dtype=np.intp)


def _round_the_circle(a: Array, b: Array, norm: float, *, doubling: bool) -> Array:
    """Return the least measures between chords of one size and chords of one size, squared for 2.

    Rows are taken in blocks, so that memory stays small whatever the number of chords.
    """
    if not a.shape[1]:
        return np.zeros((len(a), len(b)), dtype=np.int64)
    if a.shape[1] < b.shape[1]:
        return _round_the_circle(b, a, norm, doubling=doubling).T
    whole = doubling or a.shape[1] != b.shape[1]
    step = max(1, _BLOCK // len(b))
    blocks = (a[first : first + step] for first in range(0, len(a), step))
    return np.concatenate([_block(block, b, norm, doubling=whole) for block in blocks])


def _block(a: Array, b: Array, norm: float, *, doubling: bool) -> Array:
    price = np.vectorize(plain_cost(norm))(SIZES)
    most = price.max() * (a.shape[1] + (b.shape[1] if doubling else 0))
    price = price.astype(np.min_scalar_type(most))  # mostly one byte: three times as fast
    # One plane for each note of a against each note of b, first from each of the twelve notes to
    # b, so that a plane is made of whole copied rows.
    to_b = [price[:, right] for right in b.T]
    planes = [[prices[left] for prices in to_b] for left in a.T]
    found: Array = least_of(planes, norm, doubling=doubling, fewest=_fewest, most=_most)
    return found


def _fewest(planes: Iterable[Array]) -> Array:
    return reduce(np.minimum, planes)


def _most(planes: Iterable[Array]) -> Array:
    return reduce(np.maximum, planes)
