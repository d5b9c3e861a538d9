"""Statements about chords said of every root: by kind and interval, with no note named.

``always("same_notes", "Bb6", "Gm7")`` proves its statement from all twelve roots; what it says
then is true of all of them: a chord is told by its kind and by how its root lies from the first
chord's, a note by its place in the first chord.
"""

from collections.abc import Callable

from harmonykit.about.guides import common_tones
from harmonykit.draw.base.marks import degree_word
from harmonykit.draw.base.style import join_words
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

_KINDS = {
    "": "major triad", "m": "minor triad", "+": "augmented triad", "mb5": "diminished triad",
    "6": "sixth chord", "m6": "minor sixth chord", "7": "dominant seventh",
    "m7": "minor seventh chord", "maj7": "major seventh chord", "dim7": "diminished seventh",
    "m7b5": "half-diminished seventh",
}  # fmt: skip
# How a root lies from another, by semitones upward.
_AWAY = (
    "on the same root", "a half step above", "a whole step above", "a minor third above",
    "a major third above", "a fourth above", "a tritone away", "a fifth above",
    "a major third below", "a minor third below", "a whole step below", "a half step below",
)  # fmt: skip


def kind_word(chord: Chord) -> str:
    """Return the kind of a chord in words, its bass by interval.

    Examples
    --------
    >>> [kind_word(Chord.parse(name)) for name in ("C6", "F#m7b5", "Bb13", "C/D")]
    ['sixth chord', 'half-diminished seventh', '13 chord', 'major triad over a bass a whole step above']
    """  # noqa: E501
    printed = chord.over(None).unicode.removeprefix(chord.root.unicode)
    word = _KINDS.get(chord.quality, f"{printed} chord")
    if chord.bass == chord.root:
        return word
    return f"{word} over a bass {_away(chord.root, chord.bass)}"


def same_notes(first: Chord, second: Chord) -> str:
    """Say that two chords have the same notes on every root.

    Examples
    --------
    >>> same_notes(Chord.parse("Bb6"), Chord.parse("Gm7"))
    'Every sixth chord has the same notes as the minor seventh chord a minor third below.'
    """
    return f"Every {kind_word(first)} has the same notes as {_other(first, second)}."


def set_class(chord: Chord, name: str) -> str:
    """Say the set class of a kind of chord."""
    return f"Every {kind_word(chord)} is a member of set class {name}."


def leads_to(chord: Chord, target: Note) -> str:
    """Say to which root a diminished seventh resolves, from its own.

    Examples
    --------
    >>> leads_to(Chord.parse("Bdim7"), Note.parse("C"))
    'As a dominant every diminished seventh resolves to the root a half step above its own.'
    """
    kind, away = kind_word(chord), _away(chord.root, target)
    where = "its own root" if away == _AWAY[0] else f"the root {away} its own"
    return f"As a dominant every {kind} resolves to {where.replace('away its', 'away from its')}."


def apart(first: Chord, second: Chord, words: str) -> str:
    """Say how far two kinds of chord are apart, given the distance in words.

    Examples
    --------
    >>> apart(Chord.parse("C7"), Chord.parse("F#7"), "two semitones")
    'From every dominant seventh to the dominant seventh a tritone away the voices move two semitones in all.'
    """  # noqa: E501
    return (
        f"From every {kind_word(first)} to {_other(first, second)} the voices move {words} in all."
    )


def share(first: Chord, second: Chord) -> str:
    """Say what two kinds of chord have in common, by places in the first.

    Examples
    --------
    >>> share(Chord.parse("C7"), Chord.parse("F#7"))
    'Every dominant seventh shares its major third and flat seventh with the dominant seventh a tritone away.'
    >>> share(Chord.parse("C"), Chord.parse("F#"))
    'Every major triad shares no note with the major triad a tritone away.'
    """  # noqa: E501
    common = common_tones(first, second)
    words = [degree_word(first, note.pitch_class).removeprefix("the ") for note in common]
    said = f"its {join_words(words)}" if words else "no note"
    return f"Every {kind_word(first)} shares {said} with {_other(first, second)}."


def _other(first: Chord, second: Chord) -> str:
    return f"the {kind_word(second)} {_away(first.root, second.root)}"


def _away(start: Note, end: Note) -> str:
    return _AWAY[(end.pitch_class - start.pitch_class) % 12]


SAID: dict[str, Callable[..., str]] = {
    "same_notes": same_notes,
    "set_class": set_class,
    "resolves_to": leads_to,
    "semitones_apart": apart,
    "common_notes": share,
}
"""How each statement about chords is said of every root."""
