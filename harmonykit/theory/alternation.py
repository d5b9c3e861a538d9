"""Which chords alternate with a symmetrical one round a scale: the theorem, proved by trying all.

Conventions are those of ``harmonykit.theory.sets.pcset``.  Two chords *alternate* when they have
no note in common and, going round the circle of twelve, notes of the one and of the other come in
turn. Then every other note of the scale that they make together, from any degree, gives a chord of
one kind: the eight notes of a sixth-diminished scale are a sixth chord and a diminished seventh.
A *gap* of a chord is what lies between a note of it and the next one up.

The theorem: the chords that alternate with a given one are those that take one note from each gap.
For a diminished seventh each gap has two notes, so there are sixteen, of five kinds: the diminished
seventh, the dominant seventh, the half-diminished (which is the minor sixth), the minor seventh
(which is the sixth), and the seventh with a flat five.

Notebook: 03_sixth_diminished_scale
"""

from __future__ import annotations

from collections import Counter
from itertools import product

from harmonykit.errors import HarmonyError
from harmonykit.theory.given import NotesLike, as_pcset
from harmonykit.theory.sets import operation, setclass
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass


def gaps(pcs: NotesLike) -> tuple[tuple[int, ...], ...]:
    """Return the notes between each note and the next one up, upward from the lowest note.

    Parameters
    ----------
    pcs : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    tuple of tuple of int

    Raises
    ------
    HarmonyError
        If there are no notes to lie between.

    Examples
    --------
    >>> hk.theory.gaps(hk.PcSet.of(0, 4, 8)), hk.theory.gaps(hk.PcSet.of(1, 4, 7, 10))[-1]
    (((1, 2, 3), (5, 6, 7), (9, 10, 11)), (11, 0))
    """
    notes = list(_given(pcs))
    after = notes[1:] + [notes[0] + 12]
    between = zip(notes, after, strict=True)
    return tuple(tuple(pc % 12 for pc in range(low + 1, high)) for low, high in between)


def _given(pcs: NotesLike) -> PcSet:
    given = as_pcset(pcs)
    if not given:
        raise HarmonyError("the empty set has no gaps", mend="PcSet.of(0, 3, 6, 9)")
    return given


def alternate(a: NotesLike, b: NotesLike) -> bool:
    """Say whether the notes of two chords come in turn round the circle.

    Examples
    --------
    >>> alternate(PcSet.of(0, 4, 7, 9), PcSet.of(2, 5, 8, 11))
    True
    >>> alternate(PcSet.of(0, 1, 4, 7), PcSet.of(2, 5, 8, 11))
    False
    """
    one, other = as_pcset(a), as_pcset(b)
    if one & other or not one:
        return False
    turns = [note in one for note in one | other]
    return all(here != there for here, there in zip(turns, turns[1:] + turns[:1], strict=True))


def alternating(pcs: NotesLike) -> tuple[PcSet, ...]:
    """Return the chords that alternate with a given one: one note from each of its gaps.

    Parameters
    ----------
    pcs : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    tuple of PcSet

    Examples
    --------
    >>> len(hk.theory.alternating("Cdim7")), len(hk.theory.alternating("C+"))
    (16, 27)
    """
    return tuple(PcSet.of(*notes) for notes in product(*gaps(pcs)))


@dataclass(frozen=True, slots=True)
class Alternation:
    """The theorem for one chord, with what was tried to prove it.

    Parameters
    ----------
    pcs : PcSet
        The chord to alternate with.
    tried : int
        How many chords were looked at: all those of as many notes.
    disjoint : int
        How many of them have no note in common with it.
    chords : tuple of PcSet
        Those that alternate, found by looking at all.

    Examples
    --------
    >>> hk.theory.prove_alternation(hk.PcSet.of(0, 4, 8)).holds
    True
    """

    pcs: PcSet
    tried: int
    disjoint: int
    chords: tuple[PcSet, ...]

    @property
    def holds(self) -> bool:
        """Whether they are those that take one note from each gap, and no others.

        Examples
        --------
        >>> hk.theory.prove_alternation(hk.PcSet.of(0, 6)).holds
        True
        """
        return set(self.chords) == set(alternating(self.pcs))

    @property
    def kinds(self) -> tuple[tuple[str, int], ...]:
        """The kinds of chord by ``PcSet.tn_name``, and how many there are of each.

        Examples
        --------
        >>> hk.theory.prove_alternation(hk.PcSet.of(0, 3, 6, 9)).kinds
        (('4-25', 2), ('4-26', 4), ('4-27A', 4), ('4-27B', 4), ('4-28', 2))
        """
        return _counted(self.chords)

    @property
    def necklaces(self) -> tuple[tuple[PcSet, ...], ...]:
        """The chords in groups that the given chord's own transpositions turn into one another.

        Examples
        --------
        >>> [len(group) for group in hk.theory.prove_alternation(hk.PcSet.of(0, 3, 6, 9)).necklaces]
        [1, 4, 4, 2, 4, 1]
        """
        turns = [n for n in range(12) if self.pcs.transpose(n) == self.pcs]
        groups = {frozenset(chord.transpose(n) for n in turns): None for chord in self.chords}
        return tuple(tuple(sorted(group, key=tuple)) for group in groups)

    @property
    def scales(self) -> tuple[tuple[str, int], ...]:
        """The kinds of scale that chord and alternating chord make together, likewise.

        Examples
        --------
        >>> [name for name, count in hk.theory.prove_alternation(hk.PcSet.of(0, 3, 6, 9)).scales]
        ['8-25', '8-26', '8-27A', '8-27B', '8-28']
        """
        return _counted(tuple(chord | self.pcs for chord in self.chords))


def prove_alternation(pcs: NotesLike) -> Alternation:
    """Look at every chord of as many notes, and say which alternate with the given one.

    The notion is tested as it is defined, note by note round the circle, on all chords; ``holds``
    then compares with the short way of taking one note from each gap.

    Parameters
    ----------
    pcs : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    Alternation

    Raises
    ------
    HarmonyError
        If the given chord has no notes.

    Examples
    --------
    >>> proof = hk.theory.prove_alternation(hk.PcSet.of(0, 3, 6, 9))
    >>> proof.tried, proof.disjoint, len(proof.chords), proof.holds
    (495, 70, 16, True)
    """
    given = _given(pcs)
    tried = operation.subsets(PcSet.of(*range(12)), len(given))
    disjoint = [chord for chord in tried if not chord & given]
    chords = tuple(chord for chord in disjoint if alternate(chord, given))
    return Alternation(given, len(tried), len(disjoint), chords)


def _counted(sets: tuple[PcSet, ...]) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(Counter(each.tn_name for each in sets).items()))


@dataclass(frozen=True, slots=True)
class Corner:
    """A chord of the cube.

    Parameters
    ----------
    place : tuple of int
        Which note of each gap it takes, counted from 0 for the lowest: its coordinates.
    pcs : PcSet
        The chord.

    Examples
    --------
    >>> alternation_cube(PcSet.of(0, 3, 6, 9)).corners[1]
    Corner(place=(0, 0, 0, 1), pcs=PcSet.of(1, 4, 7, 11))
    """

    place: tuple[int, ...]
    pcs: PcSet


@dataclass(frozen=True, slots=True)
class Cube:
    """The chords that alternate with a given one, as points of a grid: a direction for each gap.

    For a diminished seventh it is the four-dimensional cube: 16 corners, 32 edges.  Wider gaps give
    more points in their direction.

    Parameters
    ----------
    pcs : PcSet
        The chord to alternate with.
    corners : tuple of Corner
        In the order of their places.
    edges : tuple of (Corner, Corner)
        Those that differ by one note moved up a semitone.

    Examples
    --------
    >>> low, high = hk.theory.alternation_cube(hk.PcSet.of(0, 3, 6, 9)).edges[0]
    >>> low.pcs, high.pcs
    (PcSet.of(1, 4, 7, 10), PcSet.of(2, 4, 7, 10))
    """

    pcs: PcSet
    corners: tuple[Corner, ...]
    edges: tuple[tuple[Corner, Corner], ...]


def alternation_cube(pcs: NotesLike) -> Cube:
    """Return the chords that alternate with a given one as a cube, whose edges are semitones.

    Parameters
    ----------
    pcs : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    Cube

    Examples
    --------
    >>> cube = hk.theory.alternation_cube(hk.PcSet.of(0, 3, 6, 9))
    >>> len(cube.corners), len(cube.edges), cube.corners[0], cube.corners[-1].pcs
    (16, 32, Corner(place=(0, 0, 0, 0), pcs=PcSet.of(1, 4, 7, 10)), PcSet.of(2, 5, 8, 11))
    """
    given = _given(pcs)
    sides = gaps(given)
    corners: dict[tuple[int, ...], Corner] = {}
    for place in product(*(range(len(side)) for side in sides)):
        notes = (side[at] for side, at in zip(sides, place, strict=True))
        corners[place] = Corner(place, PcSet.of(*notes))
    edges = tuple(
        (corners[place], corners[up]) for place in corners for up in _one_up(place) if up in corners
    )
    return Cube(given, tuple(corners.values()), edges)


def _one_up(place: tuple[int, ...]) -> list[tuple[int, ...]]:
    return [place[:gap] + (at + 1,) + place[gap + 1 :] for gap, at in enumerate(place)]


def symmetrical_sets() -> tuple[PcSet, ...]:
    """Return the prime forms of all sets that some transposition but T0 leaves as they are.

    The empty set and all twelve notes are left out.

    Returns
    -------
    tuple of PcSet

    References
    ----------
    Wikipedia, "Mode of limited transposition".

    Examples
    --------
    >>> [each.forte_name for each in hk.theory.symmetrical_sets()]  # doctest: +NORMALIZE_WHITESPACE
    ['2-6', '3-12', '4-9', '4-25', '4-28', '6-7', '6-20', '6-30', '6-35', '8-9', '8-25', '8-28',
     '9-12', '10-6']
    """
    classes = (each for each in setclass.set_classes() if 0 < each.size < 12)
    return tuple(PcSet.of(*each.prime_form) for each in classes if each.symmetry[0] > 1)
