"""What panels call notes and sets: names as charts use them, chords where notes have a name."""

from collections.abc import Iterable, Sequence
from functools import lru_cache

from harmonykit.errors import HarmonyError
from harmonykit.theory import naming, note
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.words.numbers import counted, join_words

Given = Chord | PcSet | str
NO_NOTES = PcSet(0)
_USUAL_SHARPS = (6,)
_MOST_NAMES = 4


def read_notes(given: Given) -> tuple[PcSet, Chord | None]:
    """Return the notes that are given, and the chord if it is one; text is a chord's symbol.

    Examples
    --------
    >>> read_notes("C6")
    (PcSet.of(0, 4, 7, 9), Chord.parse('C6'))
    """
    chord = Chord.parse(given) if isinstance(given, str) else given
    return (chord, None) if isinstance(chord, PcSet) else (chord.pcs, chord)


def chord_of(notes: PcSet, symbol: str = "") -> Chord | None:
    """Return the chord that some notes are: the one that is said, else the one they can only be.

    Raises
    ------
    HarmonyError
        If the symbol's notes are others.

    Examples
    --------
    >>> chord_of(PcSet.of(0, 4, 7)), chord_of(PcSet.of(0, 4, 7, 9))
    (Chord.parse('C'), None)
    >>> chord_of(PcSet.of(0, 4, 7, 9), "C6")
    Chord.parse('C6')
    """
    if symbol:
        chord = Chord.parse(symbol)
        if chord.pcs != notes:
            raise HarmonyError(f"the notes {notes} are not those of {symbol}", mend=str(chord.pcs))
        return chord
    return _only_name(notes)


@lru_cache(maxsize=4096)
def _only_name(notes: PcSet) -> Chord | None:
    names = naming.exact_names(notes)
    return names[0] if len(names) == 1 else None


def turned_symbol(symbol: str, notes: PcSet, semitones: int) -> str:
    """Return the symbol of a chord of one kind after it was transposed to some notes.

    Examples
    --------
    >>> turned_symbol("C6", PcSet.of(2, 6, 9, 11), 2)
    'D6'
    """
    if not symbol:
        return ""
    before = Chord.parse(symbol)
    root = (before.root.pitch_class + semitones) % 12
    found = (
        chord.symbol
        for chord in naming.exact_names(notes)
        if chord.root.pitch_class == root and chord.quality == before.quality
    )
    return next(found, "")


def note_of(pc: int, chord: Chord | None = None) -> note.Note:
    """Return the name of a pitch class: a chord's own, else the one that charts use most.

    Examples
    --------
    >>> note_of(6).name, note_of(10).name, note_of(6, Chord.parse("Cdim7")).name
    ('F#', 'Bb', 'Gb')
    """
    if chord is not None and chord.degree_of(pc) is not None:
        return chord.spell(pc)
    return note.Note.from_midi(60 + pc, flats=pc not in _USUAL_SHARPS).at(None)


def list_notes(notes: Iterable[int], chord: Chord | None = None) -> str:
    """Return notes in words, as printed.

    Examples
    --------
    >>> list_notes(PcSet.of(0, 4, 7)), list_notes(())
    ('C, E and G', 'no notes')
    """
    return join_words([note_of(pc, chord).unicode for pc in notes]) or "no notes"


def chord_names(notes: PcSet, chord: Chord | None = None) -> tuple[str, ...]:
    """Return the printed symbols of chords with just these notes, a given one first.

    Examples
    --------
    >>> chord_names(PcSet.of(0, 4, 7, 9), Chord.parse("C6"))
    ('C6', 'Am7')
    """
    first = [chord.unicode] if chord else []
    others = [name.unicode for name in naming.exact_names(notes)]
    return tuple(dict.fromkeys(first + others))[:_MOST_NAMES]


def count(number: int, thing: str) -> str:
    """Return a number with what is counted.

    Examples
    --------
    >>> count(1, "turn"), count(0, "turn"), count(4, "turn")
    ('1 turn', 'no turns', '4 turns')
    """
    return counted(number, thing, none="no")


def digits(vector: Sequence[int]) -> str:
    """Return an interval vector as printed.

    Examples
    --------
    >>> digits((0, 0, 4, 0, 0, 2))
    '0 0 4 0 0 2'
    """
    return " ".join(map(str, vector))
