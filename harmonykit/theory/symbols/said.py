"""What a chord symbol says: a root, degrees over it, and a bass; two of them at once as one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from harmonykit.errors import wrong_kind
from harmonykit.theory.degree import Degree
from harmonykit.theory.note import Note

_BESIDE_A_THIRD = {2: 9, 4: 11}
# What a note above a root is called beside the lower chord's own tones; a ninth of each kind, an
# eleventh, a thirteenth, and what the lower chord lacks of fifth and seventh.
_TENSIONS = {
    1: Degree(9, -1), 2: Degree(9), 3: Degree(9, 1), 4: Degree(3), 5: Degree(11),
    6: Degree(11, 1), 7: Degree(5), 8: Degree(13, -1), 9: Degree(13), 10: Degree(7, -1),
    11: Degree(7),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Said:
    """A root, spelled degrees over it, and a bass; ``Chord`` adds what follows from them.

    Parameters
    ----------
    root : Note
        Without an octave.
    degrees : tuple of Degree
        Ordered by number; each once.
    bass : Note
        The root unless another is asked for.
    """

    root: Note
    degrees: tuple[Degree, ...]
    bass: Note

    def __post_init__(self) -> None:
        if not isinstance(self.root, Note) or not isinstance(self.bass, Note):
            wrong = self.bass if isinstance(self.root, Note) else self.root
            raise wrong_kind(wrong, "root and bass must be notes", 'Chord.parse("C/E")')
        try:
            degrees = in_order(tuple(self.degrees))
        except (AttributeError, TypeError):
            mend = 'degrees("1 3 5"), or Chord.parse("C")'
            raise wrong_kind(self.degrees, "the degrees of a chord", mend) from None
        object.__setattr__(self, "root", self.root.at(None))
        object.__setattr__(self, "degrees", degrees)
        object.__setattr__(self, "bass", self.bass.at(None))


@lru_cache(maxsize=2048)
def in_order(found: tuple[Degree, ...]) -> tuple[Degree, ...]:
    """Return degrees by number, each once; beside a third, 2 is a ninth and 4 an eleventh.

    Examples
    --------
    >>> [degree.name for degree in in_order((Degree(4), Degree(3), Degree(1)))]
    ['1', '3', '11']
    """
    degrees = set(found)
    if any(degree.number == 3 for degree in degrees):
        degrees = {Degree(_BESIDE_A_THIRD.get(d.number, d.number), d.alter) for d in degrees}
    return tuple(sorted(degrees))


def over_chord(upper: Said, lower: Said) -> Said | None:
    """Return the lower chord with the upper one's notes as tensions.

    Parameters
    ----------
    upper, lower : Said
        A bass of the upper chord is one of its notes.

    Returns
    -------
    Said or None
        On the lower root and bass; None where the upper chord has a third, a fifth or a seventh
        beside another one of the lower chord.

    Examples
    --------
    >>> from harmonykit.theory.chord import Chord
    >>> both = over_chord(Chord.parse("D"), Chord.parse("C7"))
    >>> [degree.name for degree in both.degrees]
    ['1', '3', '5', 'b7', '9', '#11', '13']
    >>> over_chord(Chord.parse("E"), Chord.parse("Cm")) is None
    True
    """
    here = {degree.pitch_class for degree in lower.degrees}
    numbers = {degree.number for degree in lower.degrees}
    found = set(lower.degrees)
    notes = (*(degree.over(upper.root) for degree in upper.degrees), upper.bass)
    tones = {note.pitch_class for note in notes}
    for above in sorted((tone - lower.root.pitch_class) % 12 for tone in tones):
        if above in here or above == 0:
            continue
        degree = _TENSIONS[above]
        if degree.number in numbers & {3, 5, 7}:
            return None
        found.add(degree)
        numbers.add(degree.number)
    return Said(lower.root, tuple(found), lower.bass)
