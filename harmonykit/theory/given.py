"""What a user may hand in, made a value: a chord or its symbol, a note, a key, or some notes.

Every public function that takes one of these takes the text that people type for it too.  What is
of another kind is refused by a ``WrongKind`` that says what was received and what to type.
"""

import re
from collections.abc import Callable, Iterable
from typing import Protocol, TypeVar

from harmonykit.errors import HarmonyError, Place, need_several, wrong_kind
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note, as_note
from harmonykit.theory.sets.pcset import HasPcs, PcSet, pitch_class


class HasChord(Protocol):
    """Anything that holds a chord: a reading of a symbol, a name of some notes, ``hk.chord``."""

    @property
    def chord(self) -> Chord | None:
        """The chord, if one sounds."""


ChordLike = Chord | HasChord | str
KeyLike = Key | str
NotesLike = PcSet | HasPcs | HasChord | Iterable[int | Note | str] | str

_NOTES_WANTED = "notes: a chord, a set, note names, or whole numbers with C = 0"
_NOTES_MEND = '"Cmaj7", "C E G B" or [0, 4, 7, 11]'
# What may stand round note names and between them.
_BLANKS = str.maketrans(dict.fromkeys("[](){},;", " "))
# What stands between chords in a row: bar lines, marks outside brackets, arrows, dashes.
_BETWEEN = re.compile(r":?\|[|:\]]*|[,;](?![^()]*\))|-*>|[–—→](?=\s*[A-H])|(?<!\S)[-–—→]+(?!\S)")
_WORD = re.compile(r"(?:\([^()]*\)|\S)+")
_SOURCE = "the notes"
T = TypeVar("T")


def as_chord(given: ChordLike) -> Chord:
    """Return a chord that was handed in as such, as its symbol, or within something that holds it.

    Raises
    ------
    HarmonyError
        If it is neither, or the symbol cannot be read.

    Examples
    --------
    >>> as_chord("Adim7"), as_chord(Chord.parse("C9"))
    (Chord.parse('Adim7'), Chord.parse('C9'))
    """
    if isinstance(given, Chord):
        return given
    if isinstance(given, str):
        return Chord.parse(given)
    if (held := chord_in(given)) is not None:
        return held
    raise wrong_kind(given, "a chord, or its symbol as text", '"Adim7"')


def chord_in(given: object) -> Chord | None:
    """Return a chord that was handed in as such or within something that holds it, if any."""
    held = given if isinstance(given, Chord) else getattr(given, "chord", None)
    return held if isinstance(held, Chord) else None


def as_chords(given: Iterable[ChordLike] | str) -> tuple[Chord, ...]:
    """Return chords handed in as a list, or as one text of what ``chord_words`` parts.

    Examples
    --------
    >>> [str(chord) for chord in as_chords("Dm7 G7, C6")]
    ['Dm7', 'G7', 'C6']
    """
    if isinstance(given, str) and (words := chord_words(given)):
        return tuple(read_word(word, given, Chord.parse, "the chords") for word in words)
    wanted = "a list of chords, or their symbols as text"
    return tuple(as_chord(one) for one in need_several(given, wanted, '"Dm7 G7 Cmaj7"'))


def chord_words(text: str) -> list[re.Match[str]]:
    """Return the words of chords typed in a row, parted by blanks, commas, bar lines or arrows.

    Between bar lines a ``%`` is no chord of its own: it repeats the bar before.

    Examples
    --------
    >>> [word[0] for word in chord_words("|: Dm7 | % | G7(b9, #11) → C6 :|")]
    ['Dm7', 'G7(b9, #11)', 'C6']
    """
    blank = _BETWEEN.sub(lambda mark: " " * len(mark[0]), text)
    return [word for word in _WORD.finditer(blank) if "|" not in text or word[0] != "%"]


def read_words(text: str, read: Callable[[str], T], source: str) -> list[T]:
    """Return what each word of a text is read as; an error says where in the text it stands.

    Parameters
    ----------
    text : str
        Words between blanks.
    read : callable
        Reads a word.
    source : str
        What the text is, in words.

    Raises
    ------
    HarmonyError
        If a word cannot be read, with its column.

    Examples
    --------
    >>> read_words("C Eb", Note.parse, "the notes")
    [Note.parse('C'), Note.parse('Eb')]
    """
    return [read_word(word, text, read, source) for word in re.finditer(r"\S+", text)]


def read_word(word: re.Match[str], text: str, read: Callable[[str], T], source: str) -> T:
    """Return what a word of a text is read as; an error says where in the text it stands."""
    try:
        return read(word[0])
    except HarmonyError as error:
        place = Place(source, 1, word.start() + error.column, text)
        raise type(error)(error.what, place=place, rule=error.rule, mend=error.mend) from None


def is_symbol(text: str) -> bool:
    """Return whether a text for notes is one chord symbol: not names of notes, nor digits.

    Examples
    --------
    >>> [is_symbol(text) for text in ("Cmaj7", "C E G", "0369")]
    [True, False, False]
    """
    words = text.translate(_BLANKS).split()
    return len(words) == 1 and not words[0][0].isdigit()


def as_key(given: KeyLike) -> Key:
    """Return a key that was handed in as such or as text.

    Examples
    --------
    >>> as_key("Bb major")
    Key.parse('Bb major')
    """
    if isinstance(given, Key):
        return given
    if isinstance(given, str):
        return Key.parse(given)
    raise wrong_kind(given, "a key, or its name as text", '"Bb major" or "F# minor"')


def as_pitch_classes(given: NotesLike) -> tuple[int, ...]:
    """Return the pitch classes of notes however they are handed in, in order, with doublings.

    Text is a chord symbol, note names parted by blanks or commas, or the digits of a set.

    Parameters
    ----------
    given : Chord, PcSet, anything with ``.pcs`` or ``.chord``, str, or iterable
        An iterable holds whole numbers, notes and names of notes.

    Raises
    ------
    HarmonyError
        If it is none of these, or a text cannot be read.

    Examples
    --------
    >>> as_pitch_classes("C7"), as_pitch_classes("G B D F"), as_pitch_classes("0369")
    ((0, 4, 7, 10), (7, 11, 2, 5), (0, 3, 6, 9))
    >>> as_pitch_classes([67, 60, "E", 72])
    (7, 0, 4, 0)
    """
    if isinstance(given, PcSet):
        return tuple(given)
    pcs = getattr(given, "pcs", None)
    if isinstance(pcs, PcSet):
        return tuple(pcs)
    if isinstance(given, str):
        return _typed(given)
    if (held := chord_in(given)) is not None:
        return tuple(held.pcs)
    return tuple(map(_pitch_class, need_several(given, _NOTES_WANTED, _NOTES_MEND)))


def as_pcset(given: NotesLike) -> PcSet:
    """Return notes however they are handed in as a set.

    Examples
    --------
    >>> as_pcset("C6") == as_pcset("Am7"), as_pcset(["C", "E", "G"])
    (True, PcSet.of(0, 4, 7))
    """
    return given if isinstance(given, PcSet) else PcSet.of(*as_pitch_classes(given))


def as_notes(given: NotesLike) -> tuple[Note | int, ...]:
    """Return notes with the names that they were given, or as pitch classes where they had none.

    Examples
    --------
    >>> as_notes("Eb G Bb")[0], as_notes([0, "E"])
    (Note.parse('Eb'), (0, Note.parse('E')))
    """
    chord = chord_in(given)
    if isinstance(given, str):
        words = given.translate(_BLANKS).split()
        if len(words) > 1 and not words[0].isdigit():
            return tuple(read_words(given.translate(_BLANKS), Note.parse, _SOURCE))
        chord = None if given.strip()[:1].isdigit() else Chord.parse(given)
    if chord is not None:
        return chord.notes
    if isinstance(given, str) or isinstance(given, PcSet) or not isinstance(given, Iterable):
        return as_pitch_classes(given)
    return tuple(as_note(one) if isinstance(one, Note | str) else pitch_class(one) for one in given)


def _pitch_class(given: object) -> int:
    if isinstance(given, Note):
        return given.pitch_class
    return Note.parse(given).pitch_class if isinstance(given, str) else pitch_class(given)


def _typed(text: str) -> tuple[int, ...]:
    """Return the pitch classes of a typed symbol, of typed names, or of typed digits."""
    words = text.translate(_BLANKS).split()
    if is_symbol(text) or not words:
        return tuple(Chord.parse(text).pcs)
    if words[0][0].isdigit():
        return tuple(PcSet.parse(text)) if len(words) == 1 else tuple(map(_number, words))
    notes = read_words(text.translate(_BLANKS), Note.parse, _SOURCE)
    return tuple(note.pitch_class for note in notes)


def _number(word: str) -> int:
    if not word.isdigit():
        raise HarmonyError(f"{word!r} is not a pitch class", rule=_NOTES_WANTED, mend=_NOTES_MEND)
    return int(word) % 12
