"""Answers in words: as people type them, and as they are told what was right and what was not.

What cannot be read raises a ``HarmonyError`` that says which part and what would work.
"""

import re
from collections.abc import Iterable, Sequence
from typing import TypeVar

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, Degree, PcSet, read_symbol
from harmonykit.theory.note import Note, printed_accidental
from harmonykit.words.numbers import NUMBERS as WORDS
from harmonykit.words.numbers import join_words

T = TypeVar("T")
LONGEST = 300
_WORDS = ["zero", *WORDS[1:]]
_SPOKEN = re.compile(r"\b([A-Ga-g])[ -]*(flat|sharp)\b", re.I)
_PARTING = re.compile(r"[,;&]|\band\b|\bor\b", re.I)
_ARROWS = re.compile(r"[-=]*>|→|\b(?:up|down|by|semitones?)\b|\b(?:to|becomes)\b", re.I)
_VERBS = re.compile(r"\b(?:falls?|fell|rises?|rose|moves?|moved|goes|went)\b", re.I)
_MOST = 24


def read_chords(text: str) -> tuple[Chord, ...]:
    """Read chord symbols, parted by spaces, commas or "and"; a root may be a small letter.

    Raises
    ------
    HarmonyError
        If a part is no chord symbol, or nothing is written.

    Examples
    --------
    >>> [chord.symbol for chord in read_chords("Bo7, gb7 and E 7")]
    ['Bdim7', 'Gb7', 'E7']
    """
    found: list[Chord] = []
    for part in _parts(text):
        found += _whole(part) or _word_by_word(part)
    return _bounded(tuple(found))


def _whole(part: str) -> list[Chord]:
    """Return one chord that a whole part stands for ("B dim 7"), or none."""
    chord = _chord(part)
    return [] if chord is None or len(part.split()) > 1 and _each(part) else [chord]


def _each(part: str) -> bool:
    return all(_chord(word) is not None for word in part.split())


def _word_by_word(part: str) -> list[Chord]:
    """Return chords of words; a word that is no chord alone belongs to the one before."""
    found: list[Chord] = []
    before = ""
    for word in part.split():
        chord, glued = _chord(word), _chord(before + word) if before else None
        if chord is not None:
            found.append(chord)
            before = word
        elif glued is not None:
            found[-1], before = glued, before + word
        else:
            read_symbol(word)  # says what is wrong with it
            raise HarmonyError(f"{word!r} is not a chord", mend="G7, Bdim7 or Ebm")
    return found


def _chord(word: str) -> Chord | None:
    for spelled in dict.fromkeys((word, word[:1].upper() + word[1:])):
        try:
            return read_symbol(spelled).chord
        except HarmonyError:
            continue
    return None


def read_notes(text: str) -> tuple[Note, ...]:
    """Read note names, parted by spaces, commas, hyphens or "and".

    Raises
    ------
    HarmonyError
        If a part is no note name, or nothing is written.

    Examples
    --------
    >>> [note.name for note in read_notes("c, E♭ and F sharp")]
    ['C', 'Eb', 'F#']
    """
    words = [word for part in _parts(text) for word in re.split(r"[\s-]+", part) if word]
    return _bounded(tuple(Note.parse(word).at(None) for word in words))


def read_roots(text: str) -> tuple[Note, ...]:
    """Read roots: note names, or chords, of which the root counts.

    Examples
    --------
    >>> [note.name for note in read_roots("C Ebm F#6, A")]
    ['C', 'Eb', 'F#', 'A']
    """
    try:
        return read_notes(text)
    except HarmonyError:
        return tuple(chord.root for chord in read_chords(text))


def read_dominants(text: str, *, clock: bool) -> tuple[Chord, ...]:
    """Read chords; on a clock the roots of dominants are pressed."""
    if not clock:
        return read_chords(text)
    return tuple(Chord.of(note.plain(), "7") for note in read_notes(text))


def read_move(text: str) -> tuple[Note, Note]:
    """Read a note and where it goes.

    Examples
    --------
    >>> [note.name for note in read_move("Ab falls to G")], read_move("F -> E")[1].name
    (['Ab', 'G'], 'E')
    """
    notes = read_notes(_VERBS.sub(" ", _ARROWS.sub(" ", _short(text))))
    if len(notes) != 2:
        raise HarmonyError(
            f"{text.strip()!r} names {'one note' if len(notes) == 1 else f'{len(notes)} notes'}",
            rule="two are asked for: the note that moved, and where to",
            mend="Ab to G",
        )
    return notes[0], notes[1]


def read_number(text: str) -> int:
    """Read a number of semitones, in figures or as a word.

    Examples
    --------
    >>> read_number("3 semitones"), read_number("three")
    (3, 3)
    """
    word = re.sub(r"\b(?:semi|half)[ -]?(?:tones?|steps?)\b", "", _short(text).lower()).strip()
    if word in _WORDS:
        return _WORDS.index(word)
    if not re.fullmatch(r"[0-9]{1,3}", word):
        raise HarmonyError(
            f"{text.strip()!r} is not a number of semitones", rule="a whole number", mend="3"
        )
    return int(word)


def read_letter(text: str, letters: str) -> str:
    """Read the letter of one of some ways.

    Examples
    --------
    >>> read_letter(" way b", "ABC")
    'B'
    """
    letter = re.sub(r"\bway\b|[().:]", "", _short(text), flags=re.I).strip().upper()
    if len(letter) != 1 or letter not in letters:
        raise HarmonyError(
            f"{text.strip()!r} is not one of the choices", rule=f"they are {', '.join(letters)}"
        )
    return letter


def _parts(text: str) -> list[str]:
    spoken = _SPOKEN.sub(
        lambda found: found[1] + ("b" if found[2].lower() == "flat" else "#"), _short(text)
    )
    parts = [part.strip() for part in _PARTING.split(spoken) if part.strip()]
    if not parts:
        raise HarmonyError("the answer is empty", rule="write an answer, then check it")
    return parts


def _short(text: str) -> str:
    if len(text) > LONGEST:
        raise HarmonyError(
            f"an answer of {len(text)} characters is too long", rule=f"{LONGEST} at most"
        )
    if not text.strip():
        raise HarmonyError("the answer is empty", rule="write an answer, then check it")
    return text


def _bounded(found: tuple[T, ...]) -> tuple[T, ...]:
    if len(found) > _MOST:
        raise HarmonyError(
            f"{len(found)} things are too many for one answer", rule=f"{_MOST} at most"
        )
    return found


GOOD, NEARLY, NOT_YET = "Right.", "Nearly.", "Not yet."
COUNTS = ("none", *WORDS[1:5])
RANKS = ("lowest", "second lowest", "second highest", "highest")
"""Four notes by pitch."""
_MOST_REASONS = 2


def listed(things: Iterable[Chord | Note], most: int = 12) -> str:
    """Return chords or notes as printed, each once.

    Examples
    --------
    >>> listed([Chord.parse("G7"), Chord.parse("Db7")])
    'G7 and D♭7'
    """
    return join_words(list(dict.fromkeys(thing.unicode for thing in things))[:most])


def typed(notes: Iterable[Note]) -> str:
    """Return notes as one types them.

    Examples
    --------
    >>> typed(Chord.parse("Bdim7").tones)
    'B D F Ab'
    """
    return " ".join(note.name for note in notes)


def printed_degrees(degrees: Iterable[Degree]) -> str:
    """Return degrees as printed.

    Examples
    --------
    >>> printed_degrees(Chord.parse("Bdim7").degrees)
    '1, ♭3, ♭5 and 𝄫7'
    """
    return join_words([f"{printed_accidental(each.alter)}{each.number}" for each in degrees])


def verb(names: Sequence[object], one: str, several: str) -> str:
    """Return the verb that goes with one thing or several."""
    return one if len(names) == 1 else several


def sentences(head: str, *parts: str) -> str:
    """Return sentences in a row, empty ones left out."""
    return " ".join([head, *(part for part in parts if part)])


def reasons(texts: Sequence[str]) -> str:
    """Return the first reasons, and how many more there are."""
    more = len(texts) - _MOST_REASONS
    rest = f"And {COUNTS[more] if more < len(COUNTS) else more} more." if more > 0 else ""
    return sentences(" ".join(texts[:_MOST_REASONS]), rest).strip()


def granted(things: Sequence[Chord | Note]) -> str:
    """Return what is right of an answer that is not right as a whole; nothing for nothing.

    Examples
    --------
    >>> granted([Note.parse("A"), Note.parse("C")]), granted([])
    ('A and C are right.', '')
    """
    return f"{listed(things)} {verb(things, 'is', 'are')} right." if things else ""


def lacking(things: Sequence[Chord | Note], why: str) -> str:
    """Return what is missing, and why the first of them belongs there; nothing for nothing.

    Examples
    --------
    >>> lacking([Note.parse("A"), Note.parse("C")], ": it rises.")
    'A and C are missing: it rises.'
    """
    return f"{listed(things)} {verb(things, 'is', 'are')} missing{why}" if things else ""


def faults(sounding: PcSet, chord: Chord, names: Sequence[Note]) -> str:
    """Return which of some notes are not in a chord, and which of its own are missing.

    Parameters
    ----------
    sounding : PcSet
        What sounds or is written.
    chord : Chord
    names : sequence of Note
        What the notes were called.

    Examples
    --------
    >>> faults(PcSet.of(2, 6, 9, 11), Chord.parse("D7"), Chord.parse("D6").tones)
    'B is not in D7. C is missing.'
    """
    extra = [note for note in names if note.pitch_class not in chord.pcs]
    missing = [note for note in chord.tones if note.pitch_class not in sounding]
    return said_faults(extra, missing, chord.unicode)


def said_faults(extra: Sequence[Note], missing: Sequence[Note], name: str) -> str:
    """Return what is not in a chord or scale and what is missing, in words."""
    extra, missing = list(dict.fromkeys(extra)), list(dict.fromkeys(missing))
    found = []
    if extra:
        found.append(f"{listed(extra)} {verb(extra, 'is', 'are')} not in {name}.")
    if missing:
        found.append(f"{listed(missing)} {verb(missing, 'is', 'are')} missing.")
    return " ".join(found)
