"""What can be done to all twelve notes at once, what it leaves in place, what it makes of a set.

Conventions.  An operation multiplies each pitch class by 1, 5, 7 or 11 and then adds n, mod 12:
Tn transposes (factor 1), TnI inverts (factor 11), TnM5 and TnM7 turn semitones into fourths or
fifths.  Of two operations written side by side the right one is done first.  The 24 of Tn and TnI
are a group, as are all 48.

References
----------
John Rahn, *Basic Atonal Theory*, Longman 1980: operations, invariance, common tones, set forms.
Joseph N. Straus, *Introduction to Post-Tonal Theory*: the index vector.

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

import re
from itertools import combinations

from harmonykit.errors import HarmonyError, need_whole
from harmonykit.theory.given import NotesLike, as_pcset
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass

_FACTORS = {"": 1, "I": 11, "M5": 5, "M7": 7}
_SUFFIXES = {factor: suffix for suffix, factor in _FACTORS.items()}
_NAME = re.compile(r"T(\d{1,2}|[TE])(I|M5|M7)?")


@dataclass(frozen=True, slots=True)
class Operation:
    """x becomes factor * x + n, mod 12.

    Parameters
    ----------
    n : int in 0..11
    factor : int, one of 1, 5, 7, 11

    Examples
    --------
    >>> inversion = hk.theory.Operation.parse("T9I")
    >>> inversion(hk.PcSet.of(0, 4, 7)), inversion.after(inversion)
    (PcSet.of(2, 5, 9), Operation.parse('T0'))
    """

    n: int
    factor: int = 1

    def __post_init__(self) -> None:
        if self.n not in range(12) or self.factor not in _SUFFIXES:
            raise HarmonyError(
                f"unknown operation x -> {self.factor}x + {self.n}",
                rule="what is added runs from 0 to 11; factors are 1, 5, 7 and 11",
            )

    @classmethod
    def parse(cls, text: str) -> Operation:
        """Read ``"T5"``, ``"T5I"``, ``"T0M7"`` and the like; T and E may stand for 10 and 11.

        Parameters
        ----------
        text : str

        Returns
        -------
        Operation

        Raises
        ------
        HarmonyError
            If the text names no operation.

        Examples
        --------
        >>> hk.theory.Operation.parse("T0M7")(hk.PcSet.of(0, 1, 2))
        PcSet.of(0, 2, 7)
        """
        found = _NAME.fullmatch(text.strip())
        digits = found[1].replace("T", "10").replace("E", "11") if found else "12"
        if found is None or int(digits) > 11:
            raise HarmonyError(
                f"{text!r} is not an operation",
                rule="T with 0 to 11, then I, M5 or M7 if it also inverts or multiplies",
                mend='"T5" or "T5I"',
            )
        return cls(int(digits), _FACTORS[found[2] or ""])

    @property
    def name(self) -> str:
        """The usual short name.

        Examples
        --------
        >>> [hk.theory.Operation(*pair).name for pair in ((5,), (11, 11), (0, 5))]
        ['T5', 'T11I', 'T0M5']
        """
        return f"T{self.n}{_SUFFIXES[self.factor]}"

    @property
    def inverse(self) -> Operation:
        """The operation that undoes this one; each of the four factors is its own reciprocal.

        Examples
        --------
        >>> hk.theory.Operation.parse("T5").inverse, hk.theory.Operation.parse("T5I").inverse
        (Operation.parse('T7'), Operation.parse('T5I'))
        """
        return Operation(-self.factor * self.n % 12, self.factor)

    def after(self, first: Operation) -> Operation:
        """Return the one operation that does ``first`` and then this.

        Parameters
        ----------
        first : Operation

        Returns
        -------
        Operation

        Examples
        --------
        >>> hk.theory.Operation.parse("T2I").after(hk.theory.Operation.parse("T5"))
        Operation.parse('T9I')
        """
        return Operation((self.factor * first.n + self.n) % 12, self.factor * first.factor % 12)

    def __call__(self, pcs: NotesLike) -> PcSet:
        """Return what the operation makes of a set."""
        return as_pcset(pcs).multiply(self.factor).transpose(self.n)

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"Operation.parse({self.name!r})"


def operations(*, multiplications: bool = False) -> tuple[Operation, ...]:
    """Return the 12 Tn and the 12 TnI; then the TnM5 and TnM7 too, if asked for.

    Parameters
    ----------
    multiplications : bool, optional
        Whether M5 and M7 count too: 48 operations in place of 24.

    Returns
    -------
    tuple of Operation

    Examples
    --------
    >>> len(hk.theory.operations()), len(hk.theory.operations(multiplications=True))
    (24, 48)
    """
    factors = (1, 11, 5, 7) if multiplications else (1, 11)
    return tuple(Operation(n, factor) for factor in factors for n in range(12))


def turns_that_fix(pcs: NotesLike) -> tuple[int, ...]:
    """Return by how many semitones a set can be transposed and keep its notes.

    Parameters
    ----------
    pcs : PcSet, Chord, str or iterable
        Notes: a set, a chord or its symbol.

    Returns
    -------
    tuple of int

    References
    ----------
    J. Rahn, *Basic Atonal Theory*, Longman, New York 1980.

    Examples
    --------
    >>> hk.theory.turns_that_fix("Cdim7"), hk.theory.turns_that_fix("C")
    ((0, 3, 6, 9), (0,))
    """
    whole = as_pcset(pcs)
    return tuple(n for n in range(12) if whole.transpose(n) == whole)


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
