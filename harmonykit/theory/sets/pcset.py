"""Pitch-class sets: which of the twelve notes sound, whatever their octave, order or spelling.

Conventions.  Pitch classes are numbered C = 0 to B = 11.  A set is a 12-bit number inside: bit n
stands for pitch class n.  Tn adds n to every note; TnI sends x to n - x.  Names are Forte's, with
the Z where two classes share an interval vector, and with a letter where transposition alone is
meant: A for the class of the Forte prime form, B for its inversion (the minor triad is 3-11A, the
major 3-11B).  ``rule`` chooses between the two published ways to pack a set: "forte" packs to the
left, "rahn" compares from the right; both want the least span first.

References
----------
Allen Forte, *The Structure of Atonal Music*, Yale University Press 1973.
John Rahn, *Basic Atonal Theory*, Longman 1980.

Notebook: 07_set_class_catalogue
"""

from __future__ import annotations

from collections.abc import Iterator
from operator import index
from typing import Any, Literal, Protocol

from harmonykit.errors import HarmonyError, Place, need_one_of, need_text
from harmonykit.values import dataclass

Rule = Literal["forte", "rahn"]

_AGGREGATE = 0xFFF
_DIGITS = "0123456789TE"


class HasPcs(Protocol):
    """Anything that sounds a pitch-class set: a chord, a scale, a voicing.

    Examples
    --------
    >>> from harmonykit.theory.chord import Chord
    >>> Chord.parse("C6").pcs
    PcSet.of(0, 4, 7, 9)
    """

    @property
    def pcs(self) -> PcSet:
        """The pitch classes that sound."""


def pitch_class(value: Any) -> int:
    """Return a whole number mod 12.

    Raises
    ------
    HarmonyError
        If the value is not a whole number; a truth value is none.

    Examples
    --------
    >>> pitch_class(67), pitch_class(-1)
    (7, 11)
    """
    try:
        if isinstance(value, bool):
            raise TypeError
        return index(value) % 12
    except TypeError:
        raise HarmonyError(
            f"{value!r} is not a pitch class",
            rule="a pitch class is a whole number, C = 0 to B = 11 (others are taken mod 12)",
        ) from None


@dataclass(frozen=True, slots=True)
class PcSet:
    """A set of pitch classes; any of the 4,096, the empty one and all twelve included.

    Parameters
    ----------
    mask : int in 0..4095
        Bit n stands for pitch class n.  Most callers want ``PcSet.of``.

    References
    ----------
    A. Forte, *The Structure of Atonal Music*, Yale UP, New Haven 1973, appendix 1.
    J. Rahn, *Basic Atonal Theory*, Longman, New York 1980.

    Examples
    --------
    >>> major = hk.PcSet.of(0, 4, 7)
    >>> major.transpose(7), major.forte_name, major.tn_name
    (PcSet.of(2, 7, 11), '3-11', '3-11B')
    >>> list(major | hk.PcSet.of(10)), 4 in major, hk.PcSet.of(0, 7) <= major
    ([0, 4, 7, 10], True, True)
    """

    mask: int

    def __post_init__(self) -> None:
        if not isinstance(self.mask, int) or not 0 <= self.mask <= _AGGREGATE:
            raise HarmonyError(
                f"{self.mask!r} is not a pitch-class set",
                rule="the number of a set runs from 0 to 4095, bit n for pitch class n",
                mend="PcSet.of(0, 4, 7)",
            )

    @classmethod
    def of(cls, *pitch_classes: int) -> PcSet:
        """Return the set of these pitch classes, each taken mod 12, in any order.

        Parameters
        ----------
        *pitch_classes : int

        Returns
        -------
        PcSet

        Raises
        ------
        HarmonyError
            If one of them is not a whole number.

        Examples
        --------
        >>> hk.PcSet.of(67, 60, 64, 72)
        PcSet.of(0, 4, 7)
        """
        mask = 0
        for value in pitch_classes:
            mask |= 1 << pitch_class(value)
        return cls(mask)

    @classmethod
    def from_mask(cls, mask: int) -> PcSet:
        """Return the set with this number, 0 to 4095.

        Parameters
        ----------
        mask : int
            A bit for each pitch class, C the lowest.

        Returns
        -------
        PcSet

        Examples
        --------
        >>> hk.PcSet.from_mask(0b10010001)
        PcSet.of(0, 4, 7)
        """
        return cls(index(mask) if hasattr(mask, "__index__") else mask)

    @classmethod
    def parse(cls, text: str) -> PcSet:
        """Read a set in the textbooks' digits, with T for 10, E for 11, brackets and commas.

        Parameters
        ----------
        text : str

        Returns
        -------
        PcSet

        Raises
        ------
        HarmonyError
            If there is anything else in the text.

        Examples
        --------
        >>> hk.PcSet.parse("0124579T"), hk.PcSet.parse("{7, E, 2}")
        (PcSet.of(0, 1, 2, 4, 5, 7, 9, 10), PcSet.of(2, 7, 11))
        """
        digits = need_text(text, "digits of a set", '"0369"').upper()
        for column, sign in enumerate(digits, start=1):
            if sign not in _DIGITS and sign not in "[](){}, ":
                raise HarmonyError(
                    f"{text!r} is not a pitch-class set",
                    place=Place("pitch-class set", 1, column, text),
                    rule="one digit for each note: 0 to 9, T for 10, E for 11",
                    mend='"0369" or "{7, E, 2}"',
                )
        return cls.of(*(_DIGITS.index(sign) for sign in digits if sign in _DIGITS))

    def __iter__(self) -> Iterator[int]:
        return (pc for pc in range(12) if self.mask >> pc & 1)

    def __len__(self) -> int:
        return self.mask.bit_count()

    def __contains__(self, pc: object) -> bool:
        return hasattr(pc, "__index__") and bool(self.mask >> index(pc) % 12 & 1)

    def __or__(self, other: object) -> PcSet:
        return PcSet(self.mask | other.mask) if isinstance(other, PcSet) else NotImplemented

    def __and__(self, other: object) -> PcSet:
        return PcSet(self.mask & other.mask) if isinstance(other, PcSet) else NotImplemented

    def __sub__(self, other: object) -> PcSet:
        return PcSet(self.mask & ~other.mask) if isinstance(other, PcSet) else NotImplemented

    def __xor__(self, other: object) -> PcSet:
        return PcSet(self.mask ^ other.mask) if isinstance(other, PcSet) else NotImplemented

    def __le__(self, other: object) -> bool:
        return not self.mask & ~other.mask if isinstance(other, PcSet) else NotImplemented

    def __lt__(self, other: object) -> bool:
        return self <= other and self != other if isinstance(other, PcSet) else NotImplemented

    def __repr__(self) -> str:
        return f"PcSet.of({', '.join(map(str, self))})"

    def __str__(self) -> str:
        """Return the set-theory books' digits: ``"0124579T"``."""
        return "".join(_DIGITS[pc] for pc in self)

    @property
    def complement(self) -> PcSet:
        """The notes that are not in the set.

        Examples
        --------
        >>> hk.PcSet.of(0, 2, 4, 5, 7, 9, 11).complement
        PcSet.of(1, 3, 6, 8, 10)
        """
        return PcSet(_AGGREGATE ^ self.mask)

    def transpose(self, n: int) -> PcSet:
        """Return Tn of the set: each note n semitones up (down, where n is negative).

        Parameters
        ----------
        n : int
            Semitones.

        Returns
        -------
        PcSet

        Examples
        --------
        >>> hk.PcSet.of(3, 5, 6, 9).transpose(5)
        PcSet.of(2, 8, 10, 11)
        """
        n = pitch_class(n)
        return PcSet((self.mask << n | self.mask >> (12 - n)) & _AGGREGATE)

    def invert(self, n: int = 0) -> PcSet:
        """Return TnI of the set: x becomes n - x.

        Parameters
        ----------
        n : int
            Semitones.

        Returns
        -------
        PcSet

        Examples
        --------
        >>> hk.PcSet.of(3, 5, 6, 9).invert(1)
        PcSet.of(4, 7, 8, 10)
        """
        return self._image(11, n)

    def multiply(self, factor: int) -> PcSet:
        """Return the set with each note multiplied: M5 turns semitones to fourths, M7 to fifths.

        Parameters
        ----------
        factor : int
            1, 5, 7 or 11 mod 12: the only ones that keep twelve notes apart.

        Returns
        -------
        PcSet

        Raises
        ------
        HarmonyError
            If the factor shares a divisor with 12.

        Examples
        --------
        >>> hk.PcSet.of(0, 1, 2).multiply(7)
        PcSet.of(0, 2, 7)
        """
        if pitch_class(factor) not in (1, 5, 7, 11):
            raise HarmonyError(
                f"multiplication by {factor} would make two notes one",
                rule="factors are 1, 5, 7 and 11, which have no divisor in common with 12",
            )
        return self._image(factor, 0)

    def _image(self, factor: int, n: int) -> PcSet:
        n = pitch_class(n)
        return PcSet(sum(1 << (factor * pc + n) % 12 for pc in self))

    def normal_order(self, rule: Rule = "forte") -> tuple[int, ...]:
        """Return the notes upward in their most compact order.

        Where several notes begin an equally good order, as in a diminished seventh, the least is
        taken.

        Parameters
        ----------
        rule : Rule

        Returns
        -------
        tuple of int

        Examples
        --------
        >>> hk.PcSet.of(11, 7, 2, 3).normal_order()
        (11, 2, 3, 7)
        """
        start = int(self._row(f"{_checked(rule)}_start"))
        return tuple((pc + start) % 12 for pc in self.normal_form(rule))

    def normal_form(self, rule: Rule = "forte") -> tuple[int, ...]:
        """Return the normal order moved to begin on 0: one form for each Tn class.

        Parameters
        ----------
        rule : Rule

        Returns
        -------
        tuple of int

        Examples
        --------
        >>> hk.PcSet.of(0, 4, 7, 10).normal_form()
        (0, 3, 6, 8)
        """
        return tuple(PcSet(int(self._row(f"{_checked(rule)}_normal"))))

    def prime_form(self, rule: Rule = "forte") -> tuple[int, ...]:
        """Return the better packed of the set's and its inversion's normal forms.

        Parameters
        ----------
        rule : Rule

        Returns
        -------
        tuple of int

        Examples
        --------
        >>> scale = hk.PcSet.of(0, 2, 4, 5, 7, 8, 9, 11)
        >>> scale.prime_form(), scale.prime_form("rahn")
        ((0, 1, 2, 4, 5, 7, 9, 10), (0, 1, 3, 4, 5, 7, 8, 10))
        """
        return tuple(PcSet(int(self._row(f"{_checked(rule)}_prime"))))

    @property
    def interval_vector(self) -> tuple[int, ...]:
        """How many pairs of notes lie 1, 2, 3, 4, 5 and 6 semitones apart, octaves aside.

        Examples
        --------
        >>> hk.PcSet.of(0, 3, 6, 9).interval_vector
        (0, 0, 4, 0, 0, 2)
        """
        return tuple(self._row("interval_vector").tolist())

    @property
    def symmetry(self) -> tuple[int, int]:
        """How many Tn and how many TnI leave the set as it is; T0 always does.

        Examples
        --------
        >>> hk.PcSet.of(0, 3, 6, 9).symmetry, hk.PcSet.of(0, 4, 7).symmetry
        ((4, 4), (1, 0))
        """
        return int(self._row("tn_symmetry")), int(self._row("tni_symmetry"))

    @property
    def forte_name(self) -> str:
        """Forte's name of the class under transposition and inversion, with its Z.

        Examples
        --------
        >>> hk.PcSet.of(0, 1, 4, 5, 6, 7, 9).forte_name
        '7-Z18'
        """
        return str(self._row("forte_name"))

    @property
    def tn_name(self) -> str:
        """The name of the class under transposition alone: with A or B where inversion matters.

        Examples
        --------
        >>> hk.PcSet.of(0, 4, 7, 10).tn_name, hk.PcSet.of(0, 3, 6, 10).tn_name
        ('4-27B', '4-27A')
        """
        return str(self._row("tn_name"))

    def _row(self, field: str) -> Any:
        from harmonykit.theory.sets.settable import set_table

        return set_table()[field][self.mask]


def _checked(rule: Rule) -> Rule:
    need_one_of(rule, "rule", ("forte", "rahn"))
    return rule
