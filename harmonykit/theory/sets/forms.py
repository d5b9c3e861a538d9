"""What can be made of a set, each once: its transpositions and inversions, and its subsets.

References
----------
John Rahn, *Basic Atonal Theory*, Longman 1980: set forms, subsets.
"""

from __future__ import annotations

from itertools import combinations

from harmonykit.errors import need_whole
from harmonykit.theory.given import NotesLike, as_pcset
from harmonykit.theory.sets.operation import Operation
from harmonykit.theory.sets.pcset import PcSet


def transpositions(pcs: NotesLike) -> tuple[PcSet, ...]:
    """Return the different transpositions of a set, from T0 upward.

    Parameters
    ----------
    pcs : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    tuple of PcSet

    References
    ----------
    J. Rahn, *Basic Atonal Theory*, Longman, New York 1980.

    Examples
    --------
    >>> len(hk.theory.transpositions("Cdim7")), len(hk.theory.transpositions("C"))
    (3, 12)
    """
    return _images(as_pcset(pcs), (1,))


def forms(pcs: NotesLike) -> tuple[PcSet, ...]:
    """Return the different transpositions of a set and of its inversion.

    Examples
    --------
    >>> len(forms(PcSet.of(0, 4, 7))), len(forms(PcSet.of(0, 3, 6, 9)))
    (24, 3)
    """
    return _images(as_pcset(pcs), (1, 11))


def _images(whole: PcSet, factors: tuple[int, ...]) -> tuple[PcSet, ...]:
    images = (Operation(n, factor)(whole) for factor in factors for n in range(12))
    return tuple(dict.fromkeys(images))


def forms_within(pcs: NotesLike, whole: NotesLike, *, inversions: bool = True) -> tuple[PcSet, ...]:
    """Return the forms of a set that lie within another; without inversions, transpositions only.

    Parameters
    ----------
    pcs : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.
    whole : PcSet, Chord, str or iterable
        Where they are looked for.
    inversions : bool, optional
        Whether inversions count too.

    Returns
    -------
    tuple of PcSet

    Examples
    --------
    >>> c_major = hk.PcSet.of(0, 2, 4, 5, 7, 9, 11)
    >>> len(hk.theory.forms_within(hk.PcSet.of(0, 4, 7), c_major))
    6
    >>> hk.theory.forms_within(hk.PcSet.of(0, 4, 7), c_major, inversions=False)
    (PcSet.of(0, 4, 7), PcSet.of(0, 5, 9), PcSet.of(2, 7, 11))
    """
    around = as_pcset(whole)
    candidates = forms(pcs) if inversions else transpositions(pcs)
    return tuple(each for each in candidates if each <= around)


def subsets(pcs: NotesLike, size: int) -> tuple[PcSet, ...]:
    """Return the subsets of a set that have ``size`` notes, in order of their notes.

    Parameters
    ----------
    pcs : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.
    size : int
        How many notes each has.

    Returns
    -------
    tuple of PcSet

    Examples
    --------
    >>> hk.subsets(hk.PcSet.of(0, 4, 7), 2)
    (PcSet.of(0, 4), PcSet.of(0, 7), PcSet.of(4, 7))
    """
    need_whole(size, "size", 0, 12)
    return tuple(PcSet.of(*notes) for notes in combinations(as_pcset(pcs), size))
