"""Degrees: the numbers by which chords and scales are spelled over a root.

Conventions.  A degree is a number of the major scale and an alteration in semitones: ♭7 is
``Degree(7, -1)``, the seventh of a diminished seventh ``Degree(7, -2)``.
"""

from __future__ import annotations

from harmonykit.errors import HarmonyError, need_text
from harmonykit.theory.interval import SEMITONES, Interval
from harmonykit.theory.note import Note, printed_accidental
from harmonykit.values import dataclass

NUMBERS = (1, 2, 3, 4, 5, 6, 7, 9, 11, 13)


@dataclass(frozen=True, slots=True, order=True)
class Degree:
    """A degree of the major scale over a root, altered by semitones.

    Parameters
    ----------
    number : int
        1 to 7, 9, 11 or 13: a chord is built in thirds, so a tenth is a third again.
    alter : int
        Semitones from the major scale; flats are negative.

    Examples
    --------
    >>> hk.Degree.parse("b7"), hk.Degree.parse("#11").semitones
    (Degree.parse('b7'), 18)
    >>> ninth = hk.Degree(9, -1)
    >>> ninth.pitch_class, ninth.name, ninth.unicode, ninth.over(hk.Note.parse("G")).name
    (1, 'b9', '♭9', 'Ab')
    """

    number: int
    alter: int = 0

    def __post_init__(self) -> None:
        if self.number not in NUMBERS:
            raise HarmonyError(
                f"{self.number} is not a degree of a chord", rule="degrees are 1 to 7, 9, 11 and 13"
            )

    @classmethod
    def parse(cls, text: str) -> Degree:
        """Read ``"5"``, ``"b7"``, ``"bb7"`` or ``"#11"``.

        Parameters
        ----------
        text : str

        Returns
        -------
        Degree

        Raises
        ------
        HarmonyError
            If the text is no such degree.

        Examples
        --------
        >>> hk.Degree.parse("bb7").semitones, hk.Degree.parse("#11").semitones
        (9, 18)
        """
        digits = need_text(text, "a degree", '"b7"').lstrip("b#")
        signs = text[: len(text) - len(digits)]
        if digits not in map(str, NUMBERS):
            raise HarmonyError(
                f"{text!r} is not a degree",
                rule="1 to 7, 9, 11 or 13, with flats or sharps before it if needed",
                mend='"3", "b7" or "#11"',
            )
        return cls(int(digits), signs.count("#") - signs.count("b"))

    @property
    def semitones(self) -> int:
        """Semitones above the root, not reduced: a ninth is 14."""
        octaves, place = divmod(self.number - 1, 7)
        return 12 * octaves + SEMITONES[place] + self.alter

    @property
    def pitch_class(self) -> int:
        """Semitones above the root, modulo 12."""
        return self.semitones % 12

    @property
    def name(self) -> str:
        """The degree in ASCII: ``"b7"``."""
        return ("#" * self.alter if self.alter > 0 else "b" * -self.alter) + str(self.number)

    @property
    def unicode(self) -> str:
        """The degree as printed: ``"♭7"``."""
        return printed_accidental(self.alter) + str(self.number)

    def over(self, root: Note) -> Note:
        """Return the note of this degree over a root, spelled by its number.

        Parameters
        ----------
        root : Note
            Without an octave.

        Returns
        -------
        Note

        Examples
        --------
        >>> hk.Degree.parse("b7").over(hk.Note.parse("D")).name
        'C'
        """
        return root.transpose(Interval(self.number - 1, self.semitones)).at(None)

    def __hash__(self) -> int:
        # Chords are looked up by their degrees all the time; the made one takes twice as long.
        return 16 * self.number + self.alter

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"Degree.parse({self.name!r})"


def degrees(text: str) -> tuple[Degree, ...]:
    """Read degrees separated by spaces, ordered by number.

    Examples
    --------
    >>> degrees("1 3 5 b7")[-1].name
    'b7'
    """
    return tuple(sorted(map(Degree.parse, text.split())))
