"""Answers as people type them: lists of chords and notes, a move, a number, a letter.

What cannot be read raises a ``HarmonyError`` that says which part and what would work.
"""

import re
from typing import TypeVar

from harmonykit.errors import HarmonyError
from harmonykit.lesson.statements.facts import NUMBERS
from harmonykit.theory.chord import Chord, read_symbol
from harmonykit.theory.note import Note

T = TypeVar("T")
LONGEST = 300
_WORDS = ["zero", *NUMBERS[1:]]
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
