"""Shapes and chords in words: the fact that a figure states, for those who cannot see it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing
from harmonykit.show.roles import degree_word
from harmonykit.show.style import join_words, ordinal, spoken
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note

_ACCIDENTAL_WORDS = {"♭": " flat", "♯": " sharp", "𝄫": " double flat", "𝄪": " double sharp"}


def spoken_symbol(printed: str) -> str:
    """Return a printed chord symbol for the ear.

    Examples
    --------
    >>> spoken_symbol("B♭m7♭5"), spoken_symbol("C♯°7"), spoken_symbol("Dm(maj7)")
    ('B flat minor seven flat five', 'C sharp diminished seven', 'D minor (major seven)')
    """
    words: list[str] = []
    index = 0
    while index < len(printed):
        found = next((key for key in _SAID if printed.startswith(key, index)), printed[index])
        words.append(_SAID.get(found, found))
        index += len(found)
    text = "".join(words).replace("( ", "(").replace("  ", " ").strip()
    return text


_SAID = {
    "6/9": " six nine",
    "maj": " major",
    "sus": " suspended",
    "add": " add",
    "alt": " altered",
    "13": " thirteen",
    "11": " eleven",
    "m": " minor",
    "°": " diminished",
    "+": " augmented",
    "2": " two",
    "4": " four",
    "5": " five",
    "6": " six",
    "7": " seven",
    "9": " nine",
    "/": " over ",
    "(": " (",
    ",": ",",
    **_ACCIDENTAL_WORDS,
}


def string_names(instrument: Instrument) -> tuple[str, ...]:
    """Return a name for each string that no other string has.

    Examples
    --------
    >>> string_names(Instrument.named("guitar"))[::5]
    ('low E string', 'high E string')
    """
    labels = instrument.labels
    counts = Counter(label.upper() for label in labels)
    return tuple(_string_name(instrument, i, counts) for i in range(len(labels)))


def _string_name(instrument: Instrument, index: int, counts: Counter[str]) -> str:
    label = instrument.labels[index]
    if counts[label.upper()] == 1:
        return f"{label} string"
    alike = [
        m
        for m, other in zip(instrument.midi, instrument.labels, strict=True)
        if other.upper() == label.upper()
    ]
    if counts[label.upper()] > 2 or alike[0] == alike[1]:
        return f"{label.upper()} string, number {index + 1}"
    height = "low" if instrument.midi[index] == min(alike) else "high"
    return f"{height} {label.upper()} string"


def describe_string(place: str, fret: int | None, note: Note | None, degree: str) -> str:
    """Return one string's part in words.

    Examples
    --------
    >>> describe_string("g string", 2, Note.parse("A"), "the third")
    'g string, second fret, the note A, the third'
    """
    if fret is None or note is None:
        return f"{place} not played"
    where = "open" if fret == 0 else f"{ordinal(fret)} fret"
    said = f"{place}, {where}, the note {spoken(note)}"
    return f"{said}, {degree}" if degree else said


def describe_shape(
    voicing: Voicing,
    chord: Chord | None,
    *,
    name: str = "",
    was: Sequence[int | None] | None = None,
    fingers: bool = False,
    left_handed: bool = False,
) -> str:
    """Return a shape in words: each string, its fret, its note, and what that is in the chord."""
    notes = voicing.spelled(chord) if chord else voicing.notes
    places = string_names(voicing.instrument)
    parts = [
        describe_string(place, fret, note, degree_word(chord, note.pitch_class) if note else "")
        for place, fret, note in zip(places, voicing.frets, notes, strict=True)
    ]
    if fingers and voicing.fingers:
        parts = [part + _finger_word(f) for part, f in zip(parts, voicing.fingers, strict=True)]
    title = spoken_symbol(name or (chord.unicode if chord else "")) or voicing.digits
    text = f"{title}: {'; '.join(parts)}"
    if was is not None:
        text += _moves(places, voicing.frets, was)
    return text + (" (drawn for the left hand)" if left_handed else "")


_FINGERS = {1: "first", 2: "second", 3: "third", 4: "fourth"}


def _finger_word(finger: int | None) -> str:
    return f", {_FINGERS[finger]} finger" if finger in _FINGERS else ""


def _moves(places: Sequence[str], now: Sequence[int | None], was: Sequence[int | None]) -> str:
    moved = [
        f"the {place} from " + ("open" if old == 0 else f"the {ordinal(old)} fret")
        for place, new, old in zip(places, now, was, strict=True)
        if new != old and old is not None
    ]
    return f"; moved: {join_words(moved)}" if moved else ""
