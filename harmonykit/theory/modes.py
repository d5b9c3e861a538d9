"""Scales from one table of published step patterns, their modes, and which of them hold a set.

The table has major, melodic and harmonic minor with their modes, harmonic major, the symmetrical
scales, the bebop scales and a few smaller ones.  Patterns count semitones from the tonic up.  A
scale of seven notes takes each letter once; of the others the degrees are written out.

References
----------
Step patterns as in Wikipedia, "List of musical scales and modes" and "Bebop scale"; the octatonic
scale and the whole-tone scale are modes 2 and 1 of O. Messiaen, *Technique de mon langage musical*
(1944).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from harmonykit.errors import HarmonyError, need_one_of, need_text, wrong_kind
from harmonykit.theory import interval, spelling
from harmonykit.theory.degree import Degree, degrees
from harmonykit.theory.given import ChordLike, NotesLike, as_chord, as_pcset
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.note import Note, as_note
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass

# Seven notes: a pattern, then the names of its modes from the first degree on.
_SEVEN = (
    ("2 2 1 2 2 2 1", ("major", "dorian", "phrygian", "lydian", "mixolydian", "natural minor",
                       "locrian")),
    ("2 1 2 2 2 2 1", ("melodic minor", "dorian flat two", "lydian augmented", "lydian dominant",
                       "mixolydian flat six", "locrian natural two", "altered")),
    ("2 1 2 2 1 3 1", ("harmonic minor", "locrian natural six", "major augmented",
                       "dorian sharp four", "phrygian dominant", "lydian sharp two",
                       "altered diminished")),
    ("2 2 1 2 1 3 1", ("harmonic major",)),
)  # fmt: skip
# Other sizes: a pattern and the degrees that spell it.
_OTHERS = {
    "whole tone": ("2 2 2 2 2 2", "1 2 3 #4 #5 b7"),
    "octatonic whole-half": ("2 1 2 1 2 1 2 1", "1 2 b3 4 b5 b6 6 7"),
    "octatonic half-whole": ("1 2 1 2 1 2 1 2", "1 b2 b3 3 #4 5 6 b7"),
    "augmented": ("3 1 3 1 3 1", "1 b3 3 5 #5 7"),
    "bebop dominant": ("2 2 1 2 2 1 1 1", "1 2 3 4 5 6 b7 7"),
    "bebop major": ("2 2 1 2 1 1 2 1", "1 2 3 4 5 #5 6 7"),
    "bebop dorian": ("2 1 1 1 2 2 1 2", "1 2 b3 3 4 5 6 b7"),
    "bebop melodic minor": ("2 1 2 2 1 1 2 1", "1 2 b3 4 5 #5 6 7"),
    "bebop harmonic minor": ("2 1 2 2 1 2 1 1", "1 2 b3 4 5 b6 b7 7"),
    "major pentatonic": ("2 2 3 2 3", "1 2 3 5 6"),
    "minor pentatonic": ("3 2 2 3 2", "1 b3 4 5 b7"),
    "blues": ("3 2 1 1 3 2", "1 b3 4 b5 5 b7"),
}
_SAME = {"ionian": "major", "aeolian": "natural minor", "minor": "natural minor"}


def _by_letters(pattern: list[int]) -> tuple[Degree, ...]:
    heights = [sum(pattern[:place]) for place in range(7)]
    return tuple(Degree(n + 1, h - interval.SEMITONES[n]) for n, h in enumerate(heights))


def _table() -> dict[str, tuple[Degree, ...]]:
    found = {}
    for steps, names in _SEVEN:
        pattern = [int(step) for step in steps.split()]
        for turn, name in enumerate(names):
            found[name] = _by_letters(pattern[turn:] + pattern[:turn])
    for name, (_, spelled) in _OTHERS.items():
        found[name] = tuple(sorted(degrees(spelled), key=lambda degree: degree.semitones))
    return found


SCALES = _table()
"""Each scale's degrees, by name."""

FAMILIES = (*(names[0] for _, names in _SEVEN), *_OTHERS)
"""The scales that are no modes of one before them in the table."""


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split()) or "major"


@dataclass(frozen=True, slots=True, init=False)
class Scale(Ladder):
    """A scale of the table on a tonic.

    Parameters
    ----------
    tonic : Note or str
    name : str
        ``"major"``, ``"dorian"``, ``"bebop dominant"`` and so on; ``"ionian"``,
        ``"aeolian"`` and ``"minor"`` are read too.

    References
    ----------
    Wikipedia, "List of musical scales and modes".

    Examples
    --------
    >>> scale = hk.Scale("F#", "locrian")
    >>> [note.name for note in scale.notes], scale.pattern
    (['F#', 'G', 'A', 'B', 'C', 'D', 'E'], (1, 2, 2, 1, 2, 2, 2))
    >>> hk.Scale("C", "major").step(60, -1), str(scale)
    (59, 'F♯ locrian')
    """

    tonic: Note
    name: str

    def __init__(self, tonic: Note | str, name: str = "major") -> None:
        need_one_of(name, "scale", (*SCALES, *_SAME))
        known = _SAME.get(name, name)
        if isinstance(tonic, str) and " " in tonic.strip():
            raise HarmonyError(f"{tonic!r} is more than a tonic", mend=f"Scale.parse({tonic!r})")
        object.__setattr__(self, "tonic", as_note(tonic).at(None))
        object.__setattr__(self, "name", known)

    @classmethod
    def parse(cls, text: str) -> Scale:
        """Read a tonic and a name: ``"D dorian"``, ``"Bb lydian dominant"``.

        Parameters
        ----------
        text : str
            A tonic alone is major.

        Returns
        -------
        Scale

        Raises
        ------
        HarmonyError
            If the tonic is not a note, or no scale has the name.

        Examples
        --------
        >>> [note.name for note in hk.Scale.parse("D dorian").notes]
        ['D', 'E', 'F', 'G', 'A', 'B', 'C']
        >>> str(hk.Scale.parse("C octatonic half-whole"))
        'C octatonic half-whole'
        """
        need_text(text, "a scale", '"D dorian"')
        tonic, _, name = text.strip().partition(" ")
        plain = _plain(name)
        return cls(tonic, next((n for n in (*SCALES, *_SAME) if _plain(n) == plain), plain))

    @property
    def degrees(self) -> tuple[Degree, ...]:
        """The degrees over the tonic, in rising order."""
        return SCALES[self.name]

    @property
    def title(self) -> str:
        """The scale's name as printed: ``"B♭ lydian dominant"``."""
        return f"{self.tonic.unicode} {self.name}"

    @property
    def modes(self) -> tuple[Scale, ...]:
        """The scales of the table with the same notes, from the tonic up.

        Examples
        --------
        >>> [str(mode) for mode in hk.Scale("C", "melodic minor").modes][3:]
        ['F lydian dominant', 'G mixolydian flat six', 'A locrian natural two', 'B altered']
        """
        same = (Scale(note, name) for note in self.notes for name in SCALES)
        return tuple(mode for mode in same if mode.pcs == self.pcs and _fits(mode, self))

    def __repr__(self) -> str:
        return f"Scale({self.tonic.name!r}, {self.name!r})"


def _fits(mode: Scale, scale: Scale) -> bool:
    """Whether a mode spells its notes as the scale does; eight-note scales differ by a letter."""
    return len(scale.degrees) != 7 or set(mode.notes) == set(scale.notes)


def scales_holding(pcs: NotesLike, names: Iterable[str] = FAMILIES) -> tuple[Scale, ...]:
    """Return the scales that hold all of a set's notes.

    Parameters
    ----------
    pcs : str, Chord, PcSet, or iterable of int, Note or str
        A chord symbol, note names, a chord, a set or its notes.
    names : iterable of str
        Which scales to look among; by default one of each family of modes.

    Returns
    -------
    tuple of Scale
        In the table's order, then by tonic upward from C; scales with the same name and notes
        (a whole-tone scale on C or on D) once.

    Raises
    ------
    HarmonyError
        If what was given is not notes, or a scale's name is unknown.

    References
    ----------
    Wikipedia, "List of musical scales and modes".

    Examples
    --------
    >>> [str(scale) for scale in hk.scales_holding("Cmaj7#11")][:2]
    ['G major', 'E harmonic minor']
    """
    if isinstance(names, str):
        names = (names,)
    if not isinstance(names, Iterable):
        raise wrong_kind(names, "names of scales", '["major", "melodic minor"]')
    return tuple(_holding(as_pcset(pcs), names))


def _holding(wanted: PcSet, names: Iterable[str]) -> Iterator[Scale]:
    for name in names:
        seen = set()
        for tonic in range(12):
            scale = Scale(spelling.usual_root(tonic), name)
            if wanted <= scale.pcs and scale.pcs not in seen:
                seen.add(scale.pcs)
                yield scale


def avoid_notes(scale: Ladder | str, chord: ChordLike) -> tuple[Note, ...]:
    """Return the notes of a scale that lie a semitone above a chord tone and are not chord tones.

    A rule of thumb: such a note clashes when held.  The ♭9 of a dominant is the usual exception,
    and dorian's sixth, which schools also avoid, is not found by it.

    Parameters
    ----------
    scale : Ladder or str
        A scale, or its name: ``"E phrygian"``.
    chord : Chord or str
        A chord or its symbol.

    Returns
    -------
    tuple of Note

    Raises
    ------
    HarmonyError
        If what was given is not a scale, or the chord cannot be read.

    References
    ----------
    Wikipedia, "Avoid note".

    Examples
    --------
    >>> [note.name for note in hk.avoid_notes("E phrygian", "Em7")]
    ['F', 'C']
    """
    if isinstance(scale, str):
        scale = Scale.parse(scale)
    if not isinstance(scale, Ladder):
        raise wrong_kind(scale, "a scale, or its name as text", '"E phrygian"')
    chord = as_chord(chord)
    return tuple(
        note
        for note in scale.notes
        if note.pitch_class not in chord.pcs and (note.pitch_class - 1) % 12 in chord.pcs
    )
