"""Keys: how likely each of the 24 is, from what chords stand where, or from a melody's notes.

A conditional model.  Each key is given points for *clues*, told from its tonic: how often a chord
or a change comes, what stands first and last, what a loop comes round to, changes into every second
bar and at the ends of phrases, the last dominant that goes home, a blues of twelve bars, a vamp on
one or two chords.  The points are weights that were fitted on tunes whose key is known, with a
penalty on large ones (``shared/evidence/fit_keys.py``), or learnt from songs whose key is not
(``fit_plain_keys.py``); the probability is their softmax.  The weights are the same in all
transpositions: the probabilities of a transposed row are those of the row, transposed.

A clue that comes *n* times counts *n* to the power of one quarter: repeats say little.

Of a melody without chords the share of the time that each pitch class sounds is held against how
well each degree was heard to fit a major or a minor key, and the last note against the tonic.
``WEIGHT`` and ``LAST`` were set on traditional melodies whose key is printed
(``shared/evidence/evaluate_melodies.py``).

References
----------
C. L. Krumhansl, E. J. Kessler, "Tracing the dynamic changes in perceived tonal organization in a
spatial representation of musical keys", Psychological Review 89, 1982: the ratings.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache, partial
from itertools import pairwise

from harmonykit.evidence.kinds import FAMILIES, JAZZ, PLAIN, read_table
from harmonykit.values import dataclass

MAJOR, MINOR = "major", "minor"
POWER = 0.25
# What stands at the edges happens once, and tells more: its values are doubled.
EDGES = frozenset({"first", "last", "first family", "last family", "round", "home"})
EDGES |= {"first two", "last two", "last three", "blues"}
_EDGE = 2.0
_BLUES = 12

# What the clue is, roots, and kinds or families.
Clue = tuple[str, tuple[int, ...], tuple[str, ...]]
# Says what a clue counts for major and for minor keys, if anything.
Told = Callable[[Clue], tuple[float, float] | None]
TABLES = {JAZZ: "keys", PLAIN: "keys_plain"}


@dataclass(frozen=True, slots=True)
class Heard:
    """A chord where it begins.

    Parameters
    ----------
    bar : int
        From 0, as played.
    strong : bool
        Whether it begins on the first beat.
    root : int in 0..11
    kind : str
        See ``kinds``.
    """

    bar: int
    strong: bool
    root: int
    kind: str

    @property
    def family(self) -> str:
        """What it is alike with."""
        return FAMILIES[self.kind]


def changing(row: Sequence[Heard]) -> list[int]:
    """Return the places of a row's chords, but of those that only say the one before again."""
    return [
        n
        for n, each in enumerate(row)
        if not n or (each.root, each.kind) != (row[n - 1].root, row[n - 1].kind)
    ]


def merged(row: Sequence[Heard]) -> list[Heard]:
    """Return a row without the chords that only say the one before again."""
    return [row[n] for n in changing(row)]


def find_clues(row: Sequence[Heard], bars: int) -> dict[Clue, float]:
    """Return the clues in a row without repeats, told from C, with what each counts."""
    counted = Counter(_clues(row, bars))
    return {clue: n**POWER * (_EDGE if clue[0] in EDGES else 1) for clue, n in counted.items()}


def _clues(row: Sequence[Heard], bars: int) -> Iterator[Clue]:
    for one in row:
        yield "chord", (one.root,), (one.kind,)
        yield "family", (one.root,), (one.family,)
    for one, two in pairwise(row):
        yield "pair", (one.root, two.root), (one.kind, two.kind)
        yield _families("families", one, two)
        if two.strong and two.bar % 2 == 0:
            yield _families("second bar", one, two)
            if two.bar % 8 in (4, 6):
                yield _families("phrase end", one, two)
    if row:
        yield from _edges(row)
        yield from _blues(row, bars)
        yield from _vamp(row)


def _families(name: str, *chords: Heard) -> Clue:
    return name, tuple(each.root for each in chords), tuple(each.family for each in chords)


def _edges(row: Sequence[Heard]) -> Iterator[Clue]:
    yield "first", (row[0].root,), (row[0].kind,)
    yield "last", (row[-1].root,), (row[-1].kind,)
    yield _families("first family", row[0])
    yield _families("last family", row[-1])
    yield _families("round", row[-1], row[0])
    if len(row) > 1:
        yield _families("first two", *row[:2])
        yield _families("last two", *row[-2:])
    if len(row) > 2:
        yield _families("last three", *row[-3:])
    for one, two in zip(row[-2::-1], row[:0:-1], strict=True):
        if one.family == "D" and two.family in "Mm" and (one.root - two.root) % 12 == 7:
            yield _families("home", two)
            return


def _blues(row: Sequence[Heard], bars: int) -> Iterator[Clue]:
    """Yield what sounds in the first and in the fifth bar of a form of twelve."""
    if bars and bars % _BLUES == 0:
        sounding = [each for each in row if each.bar < 4 or (each.bar == 4 and each.strong)]
        if sounding:
            yield _families("blues", row[0], sounding[-1])


def _vamp(row: Sequence[Heard]) -> Iterator[Clue]:
    """Yield the one or two chords of a row that has no others."""
    chords = list(dict.fromkeys((each.root, each.kind) for each in row))
    if len(chords) <= 2:
        for name, (root, kind) in zip(("vamp", "vamp on two"), chords, strict=False):
            yield name, (root,), (FAMILIES[kind],)


def key_probabilities(
    row: Sequence[Heard], bars: int, style: str = JAZZ
) -> dict[tuple[int, str], float]:
    """Return the probability of each key, by its tonic (0..11) and mode.

    Parameters
    ----------
    row : sequence of Heard
        In playing order; one chord at least.
    bars : int
        How many are played in all.
    style : {"jazz", "plain"}
        In whose kinds the row is told.

    Examples
    --------
    >>> row = [Heard(n, True, r, k) for n, (r, k) in enumerate([(2, "m7"), (7, "7"), (0, "maj7")])]
    >>> found = key_probabilities(row, 3)
    >>> max(found, key=found.get), round(sum(found.values()), 9)
    ((0, 'major'), 1.0)
    """
    name = TABLES[style]
    clues = find_clues(merged(row), bars)
    return softmax(points_of(clues, partial(_told, name), read_table(name)["minor"]))


def points_of(
    clues: Mapping[Clue, float], told: Told, for_minor: float
) -> dict[tuple[int, str], float]:
    """Return the points of each key, on a scale of natural logarithms.

    ``for_minor`` is what every minor key has before anything is heard.
    """
    points = {}
    for tonic in range(12):
        major, minor = 0.0, for_minor
        for (name, roots, kinds), value in clues.items():
            counts = told((name, tuple((root - tonic) % 12 for root in roots), kinds))
            if counts is not None:
                major += value * counts[0]
                minor += value * counts[1]
        points[tonic, MAJOR], points[tonic, MINOR] = major, minor
    return points


def softmax(points: Mapping[tuple[int, str], float]) -> dict[tuple[int, str], float]:
    """Return points on a scale of natural logarithms as probabilities."""
    top = max(points.values())
    parts = {key: math.exp(each - top) for key, each in points.items()}
    total = sum(parts.values())
    return {key: part / total for key, part in parts.items()}


@lru_cache(maxsize=2**15)
def _told(table: str, clue: Clue) -> tuple[float, float] | None:
    """Return what a table has a clue count: of thousands there, a tune asks for hundreds."""
    name, roots, kinds = clue
    said = f"{' '.join(map(str, roots))}:{' '.join(kinds)}"
    hundredths = read_table(table)["weights"].get(name, {}).get(said)
    return None if hundredths is None else (hundredths[0] / 100, hundredths[1] / 100)


# How well each degree fits, in semitones above the tonic: ratings from 1 to 7.
FITS = {
    MAJOR: (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
    MINOR: (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
}
WEIGHT, LAST = 40.0, 2.0


def melody_probabilities(notes: Sequence[tuple[int, float]]) -> dict[tuple[int, str], float]:
    """Return the probability of each key, by its tonic (0..11) and mode.

    Parameters
    ----------
    notes : sequence of (int, float)
        Pitch class and length of each note, in order; one at least.

    Examples
    --------
    >>> found = melody_probabilities([(0, 1), (4, 1), (7, 1), (5, 1), (2, 1), (0, 2)])
    >>> max(found, key=found.get), round(sum(found.values()), 9)
    ((0, 'major'), 1.0)
    """
    total = sum(length for _, length in notes)
    points = {}
    for mode, fits in FITS.items():
        logs = [math.log(each / sum(fits)) for each in fits]
        for tonic in range(12):
            fit = sum(length * logs[(note - tonic) % 12] for note, length in notes) / total
            points[tonic, mode] = WEIGHT * fit + LAST * (notes[-1][0] == tonic)
    return softmax(points)
