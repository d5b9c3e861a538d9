"""How near two set classes are: by voice leading, by intervals, by what one holds of the other.

A set class stands for all its transpositions and inversions, so that what is said of two classes is
said of the members that suit it best.  Three measures are given, each a number of its own:
semitones between the nearest members, the angle between interval vectors, and how many members of
the one lie in the other.

References
----------
J. N. Straus, "Voice Leading in Set-Class Space", *Journal of Music Theory* 49/1 (2005).
D. Lewin, "Forte's Interval Vector, My Interval Function, and Regener's Common-Note Function",
*Journal of Music Theory* 21/2 (1977): the embedding number.
E. J. Isaacson, "Similarity of Interval-Class Content Between Pitch-Class Sets: The IcVSIM
Relation", *Journal of Music Theory* 34/1 (1990).

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

import math

from harmonykit.theory.given import NotesLike, as_pcset
from harmonykit.theory.leading.voiceleading import distance_matrix
from harmonykit.theory.sets.operation import forms, forms_within


def class_distance(a: NotesLike, b: NotesLike) -> int:
    """Return the least number of semitones from a set to any form of another.

    Parameters
    ----------
    a, b : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.  Where sizes differ, notes are doubled.

    Returns
    -------
    int
        0 where one is a transposition or an inversion of the other.

    Raises
    ------
    HarmonyError
        If the notes cannot be read.

    References
    ----------
    J. N. Straus, "Voice Leading in Set-Class Space", *Journal of Music Theory* 49/1 (2005).

    Examples
    --------
    >>> hk.theory.class_distance("C7", "Am7b5"), hk.theory.class_distance("C+", "Dm")
    (0, 1)
    """
    one, others = as_pcset(a), forms(as_pcset(b))
    if not one or not others[0]:
        return 0
    return int(min(distance_matrix([one], others=others)[0]))


def icvsim(a: NotesLike, b: NotesLike) -> float:
    """Return Isaacson's IcVSIM: 0 for interval vectors that differ by the same in each class.

    It is the standard deviation of the six differences.

    Parameters
    ----------
    a, b : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    float

    Raises
    ------
    HarmonyError
        If the notes cannot be read.

    References
    ----------
    E. J. Isaacson, "Similarity of Interval-Class Content Between Pitch-Class Sets: The IcVSIM
    Relation", *Journal of Music Theory* 34/1 (1990).

    Examples
    --------
    >>> hk.theory.icvsim([0, 1, 4, 6], [0, 1, 3, 7]), round(hk.theory.icvsim("C", "C+"), 2)
    (0.0, 1.0)
    """
    pairs = zip(as_pcset(a).interval_vector, as_pcset(b).interval_vector, strict=True)
    differences = [there - here for here, there in pairs]
    mean = sum(differences) / 6
    return math.sqrt(sum((each - mean) ** 2 for each in differences) / 6)


def embedded(small: NotesLike, large: NotesLike) -> int:
    """Return how many forms of a set lie within another: Lewin's embedding number.

    Parameters
    ----------
    small, large : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    int

    Raises
    ------
    HarmonyError
        If the notes cannot be read.

    References
    ----------
    D. Lewin, *Journal of Music Theory* 21/2 (1977).

    Examples
    --------
    Six major and minor triads in a major scale.

    >>> hk.theory.embedded("C", [0, 2, 4, 5, 7, 9, 11])
    6
    """
    return len(forms_within(small, large))
