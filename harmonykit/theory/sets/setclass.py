"""The 224 set classes: the same under transposition and inversion; and how near two of them are.

Conventions are those of ``harmonykit.theory.sets.pcset``.  The 224 run from the empty set (0-1) to
all twelve notes (12-1); other totals in print have another scope (208 for three to nine notes).

A set class stands for all its transpositions and inversions, so that what is said of two classes is
said of the members that suit it best.  Three measures are given, each a number of its own:
semitones between the nearest members, the angle between interval vectors, and how many members of
the one lie in the other.

References
----------
Allen Forte, *The Structure of Atonal Music*, Yale University Press 1973, Appendix 1.
John Rahn, *Basic Atonal Theory*, Longman 1980.
J. N. Straus, "Voice Leading in Set-Class Space", *Journal of Music Theory* 49/1 (2005).
D. Lewin, "Forte's Interval Vector, My Interval Function, and Regener's Common-Note Function",
*Journal of Music Theory* 21/2 (1977): the embedding number.
E. J. Isaacson, "Similarity of Interval-Class Content Between Pitch-Class Sets: The IcVSIM
Relation", *Journal of Music Theory* 34/1 (1990).

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

import math
import re
from functools import cache

from harmonykit.errors import HarmonyError, need_text
from harmonykit.theory.given import NotesLike, as_pcset
from harmonykit.theory.leading.voiceleading import distance_matrix
from harmonykit.theory.sets import operation, settable
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass

_NAME = re.compile(r"\s*(\d{1,2})\s*-\s*[zZ]?(\d{1,2})\s*([ABab]?)\s*")


@dataclass(frozen=True, slots=True)
class SetClass:
    """One class of the catalogue.

    Parameters
    ----------
    forte_name : str
        With its Z: ``"7-Z18"``.
    prime_form, rahn_prime_form : tuple of int
        They differ for six classes.
    interval_vector : tuple of six int
    symmetry : (int, int)
        How many Tn and how many TnI leave a member as it is.
    tn_names : tuple of str
        The classes under transposition alone: one, or the A and the B form.
    complement : str
        The class of the notes that are left out.
    z_partner : str or None
        The other class with the same interval vector.

    References
    ----------
    A. Forte, *The Structure of Atonal Music*, Yale UP, New Haven 1973, appendix 1.
    J. Rahn, *Basic Atonal Theory*, Longman, New York 1980.

    Examples
    --------
    >>> half_diminished = hk.SetClass.named("4-27")
    >>> half_diminished.prime_form, half_diminished.tn_names, half_diminished.complement
    ((0, 2, 5, 8), ('4-27A', '4-27B'), '8-27')
    """

    forte_name: str
    prime_form: tuple[int, ...]
    rahn_prime_form: tuple[int, ...]
    interval_vector: tuple[int, ...]
    symmetry: tuple[int, int]
    tn_names: tuple[str, ...]
    complement: str
    z_partner: str | None = None

    @classmethod
    def named(cls, name: str) -> SetClass:
        """Return the class of this name; the Z may be left out, a letter A or B may stand.

        Parameters
        ----------
        name : str

        Returns
        -------
        SetClass

        Raises
        ------
        HarmonyError
            If the catalogue has no such name.

        Examples
        --------
        >>> hk.SetClass.named("7-18").forte_name, hk.SetClass.named("4-27B").forte_name
        ('7-Z18', '4-27')
        """
        found = _NAME.fullmatch(need_text(name, "the name of a set class", '"4-28"'))
        if found is not None:
            named = _by_number().get((int(found[1]), int(found[2])))
            if named and (not found[3] or len(named.tn_names) == 2):
                return named
        raise HarmonyError(
            f"{name!r} is not a set class",
            rule="number of notes, hyphen, Forte's number; then A or B where the inversion differs",
            mend=_mend(int(found[1])) if found else '"4-28" or "7-Z18"',
        )

    @classmethod
    def of(cls, pcs: NotesLike) -> SetClass:
        """Return the class of a set, or of a chord's notes.

        Parameters
        ----------
        pcs : notes

        Returns
        -------
        SetClass

        Examples
        --------
        >>> hk.SetClass.of(hk.PcSet.of(2, 5, 8, 11)).forte_name
        '4-28'
        """
        row = settable.set_table()[as_pcset(pcs).mask]
        return _by_number()[int(row["size"]), int(row["ordinal"])]

    def __repr__(self) -> str:
        return f"SetClass.named({self.forte_name!r})"

    @property
    def size(self) -> int:
        """How many notes a member has.

        Examples
        --------
        >>> hk.SetClass.named("7-Z18").size
        7
        """
        return len(self.prime_form)

    @property
    def members(self) -> tuple[PcSet, ...]:
        """Every set of the class, 24 over the degree of symmetry: the prime form's Tn, then TnI.

        Examples
        --------
        >>> hk.SetClass.named("4-28").members
        (PcSet.of(0, 3, 6, 9), PcSet.of(1, 4, 7, 10), PcSet.of(2, 5, 8, 11))
        """
        return operation.forms(PcSet.of(*self.prime_form))


@cache
def set_classes() -> tuple[SetClass, ...]:
    """Return the catalogue of set classes, by number of notes and then by Forte's number.

    Returns
    -------
    tuple of SetClass

    References
    ----------
    A. Forte, *The Structure of Atonal Music*, Yale UP, New Haven 1973, appendix 1.
    J. Rahn, *Basic Atonal Theory*, Longman, New York 1980.

    Examples
    --------
    >>> len(hk.set_classes()), hk.set_classes()[-1].forte_name
    (224, '12-1')
    >>> [each.forte_name for each in hk.set_classes() if each.symmetry == (2, 0)]
    ['6-30']
    """
    table = settable.set_table()
    primes = sorted(
        set(table["forte_prime"].tolist()),
        key=lambda prime: (table["size"][prime], table["ordinal"][prime]),
    )
    return tuple(_set_class(prime) for prime in primes)


def _set_class(prime: int) -> SetClass:
    one = PcSet(prime)
    partner = int(settable.set_table()["z_partner"][prime])
    return SetClass(
        one.forte_name,
        one.prime_form(),
        one.prime_form("rahn"),
        one.interval_vector,
        one.symmetry,
        tuple(sorted({one.tn_name, one.invert().tn_name})),
        one.complement.forte_name,
        None if partner < 0 else PcSet(partner).forte_name,
    )


@cache
def _by_number() -> dict[tuple[int, int], SetClass]:
    """Return the catalogue by number of notes and Forte's number, without Z."""
    plain = ((each, each.forte_name.replace("Z", "").split("-")) for each in set_classes())
    return {(int(size), int(number)): each for each, (size, number) in plain}


def _mend(size: int) -> str:
    names = [each.forte_name for each in set_classes() if each.size == size]
    return f"{names[0]} to {names[-1]}" if names else "0 to 12 notes"


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
    one, others = as_pcset(a), operation.forms(as_pcset(b))
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
    return len(operation.forms_within(small, large))
