"""What may stand under a melody note, and what the note is in it: one note, or all long ones.

A note is the root, third, fifth, sixth or seventh of a chord, or a tension that the chord takes: 9,
11, ♯11, 13, and over a dominant ♭9, ♯9 and ♭13 too.  A tension makes another symbol: E over D7 is
D9.  Which kind of chord takes which tension is common practice, no source; a natural eleventh over
a major third is none, it is an avoid note.

A long note lasts two beats or half a bar, or begins on the first beat of a bar.  Its role is that
of ``harmonise``: guide tones (third, sixth, seventh) and tensions colour a chord, root and fifth do
not; a note that the chord does not take is an avoid note.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.given import ChordLike, KeyLike, as_chord, as_key
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note, as_note
from harmonykit.tune.analysis.numerals import numeral_of
from harmonykit.tune.tune import Sung, bar_length, beat_length
from harmonykit.values import dataclass

ROOT, THIRD, FIFTH, SIXTH, SEVENTH = "root", "third", "fifth", "sixth", "seventh"
FOURTH, TENSION = "fourth", "tension"
GUIDE = (THIRD, SIXTH, SEVENTH)
"""The roles of guide tones; a sixth stands in for a seventh."""

_ROLES = {1: ROOT, 2: "second", 3: THIRD, 4: FOURTH, 5: FIFTH, 6: SIXTH, 7: SEVENTH}

# A kind of chord with its own degrees, and the tensions that it takes with their symbols.
_KINDS: dict[str, tuple[str, dict[str, str]]] = {
    "": ("1 3 5", {"9": "add9"}),
    "6": ("1 3 5 6", {"9": "6/9"}),
    "maj7": ("1 3 5 7", {"9": "maj9", "#11": "maj7#11", "13": "maj13"}),
    "7": (
        "1 3 5 b7",
        {"9": "9", "b9": "7b9", "#9": "7#9", "#11": "7#11", "13": "13", "b13": "7b13"},
    ),
    "m": ("1 b3 5", {"9": "m(add9)"}),
    "m6": ("1 b3 5 6", {"9": "m6/9"}),
    "m7": ("1 b3 5 b7", {"9": "m9", "11": "m11"}),
    "mmaj7": ("1 b3 5 7", {}),
    "m7b5": ("1 b3 b5 b7", {"11": "m7b5add11"}),
    "dim7": ("1 b3 b5 bb7", {}),
    "7sus4": ("1 4 5 b7", {"9": "9sus4"}),
}
# What a chord may become so that a note belongs to it, the nearest kind first.
_NEAR = {
    "": ("", "6", "maj7"),
    "6": ("6", "maj7"),
    "maj7": ("maj7", "6"),
    "7": ("7", "7sus4"),
    "7sus4": ("7sus4",),
    "m": ("m", "m7", "m6", "mmaj7"),
    "m6": ("m6",),
    "m7": ("m7",),
    "mmaj7": ("mmaj7", "m6"),
    "m7b5": ("m7b5",),
    "dim7": ("dim7",),
}
_PLAIN_OVER_ALTERED = ("9", "13")
_FIFTH, _CORE = 5, 7


@dataclass(frozen=True, slots=True)
class Harmony:
    """A chord under a melody note.

    Parameters
    ----------
    chord : Chord
        With the note in it.
    degree : Degree
        What the note is in the chord.
    numeral : str
        What the chord is in the key; empty where none was given.
    diatonic : bool
        Whether the key's scale holds the chord, in minor with its leading tone too.

    Examples
    --------
    >>> found = hk.arrange.harmonise_note("E", "C")[0]
    >>> found.chord.symbol, found.degree.name, found.role, found.numeral
    ('Em', '1', 'root', 'iii')
    """

    chord: Chord
    degree: Degree
    numeral: str = ""
    diatonic: bool = False

    @property
    def role(self) -> str:
        """What the note is: root, third, fifth, sixth, seventh or tension."""
        return _role(self.degree)

    def __str__(self) -> str:
        return f"{self.chord.unicode}: {self.degree.unicode}"


def harmonise_note(
    note: Note | str, key: KeyLike | None = None, chord: ChordLike | None = None
) -> tuple[Harmony, ...]:
    """Return every chord in which a note is a chord tone or a tension, with what it is there.

    Parameters
    ----------
    note : Note or str
        Its octave plays no part.
    key : Key or str, optional
        Chords of the key come first, and all have numerals.
    chord : Chord or str, optional
        Only what this chord may become under the note.

    Returns
    -------
    tuple of Harmony
        By what the note is, the root first; none where the note is an avoid note of the chord.

    Raises
    ------
    HarmonyError
        If something cannot be read.

    Examples
    --------
    >>> [str(found) for found in hk.arrange.harmonise_note("E", "C") if found.diatonic][:6]
    ['Em: 1', 'Em7: 1', 'E7sus4: 1', 'C: 3', 'C6: 3', 'Cmaj7: 3']
    >>> [str(found) for found in hk.arrange.harmonise_note("A", chord="G7")]
    ['G9: 9', 'G9sus4: 9']
    >>> hk.arrange.harmonise_note("F", chord="Cmaj7")
    ()
    """
    sung = as_note(note).at(None)
    home = None if key is None else as_key(key)
    if chord is not None:
        found = list(_over(sung, as_chord(chord), home))
    else:
        found = [
            _told(Chord.parse(root.name + suffix), degree, home)
            for kind in _KINDS
            for degree, suffix in _degrees(kind)
            for root in (_root(sung, degree),)
        ]
    return tuple(sorted(found, key=lambda each: (not each.diatonic, _order(each.degree))))


def fitting(note: Note, chord: Chord) -> Chord | None:
    """Return what a chord becomes under a note, the nearest first; None for an avoid note.

    Examples
    --------
    >>> d7, a = Chord.parse("D7"), Note.parse
    >>> [str(fitting(a(name), d7)) for name in ("A", "E", "Eb", "G", "C#")]
    ['D7', 'D9', 'D7b9', 'D7sus4', 'None']
    """
    return next((found.chord for found in _over(note, chord, None)), None)


def role_in(pitch_class: int, chord: Chord) -> str:
    """Return what a pitch class is in a chord: a role, a tension that it takes, else nothing.

    Examples
    --------
    >>> g7 = Chord.parse("G7")
    >>> [role_in(pitch, g7) for pitch in (11, 9, 0, 6)]
    ['third', 'tension', '', '']
    """
    degree = chord.degree_of(pitch_class)
    if degree is not None:
        return _role(degree)
    above = (pitch_class - chord.root.pitch_class) % 12
    return TENSION if any(d.pitch_class == above for d, _ in _tensions(chord)) else ""


def _role(degree: Degree) -> str:
    return _ROLES.get(degree.number, TENSION)


def _order(degree: Degree) -> tuple[int, int]:
    return degree.number, degree.semitones


def _degrees(kind: str) -> Iterator[tuple[Degree, str]]:
    """Yield each degree that a note may be over a kind of chord, with the suffix that has it."""
    own, tensions = _KINDS[kind]
    for name in own.split():
        yield Degree.parse(name), kind
    for name, suffix in tensions.items():
        yield Degree.parse(name), suffix


def _root(note: Note, degree: Degree) -> Note:
    """Return the root over which a note is a degree, with one accidental at most."""
    away = degree.over(Note("C")).fifths
    return Note.from_fifths(note.fifths - away).plain()


def _core_kind(chord: Chord) -> str | None:
    """Return the kind that a chord is at its core: what it has up to the seventh."""
    core = {d.pitch_class for d in chord.degrees if d.number <= _CORE and d.number != _FIFTH}
    fifths = [d.pitch_class for d in chord.degrees if d.number == _FIFTH]
    for kind, (own, _) in _KINDS.items():
        named = [Degree.parse(name) for name in own.split()]
        wanted = {d.pitch_class for d in named if d.number != _FIFTH}
        flat = any(d.number == _FIFTH and d.alter for d in named)
        if core == wanted and (not flat or 6 in fifths) and (flat or 6 not in fifths):
            return kind
    return None


def _is_altered(chord: Chord) -> bool:
    return chord.is_dominant and any(d.alter and d.number in (5, 9, 13) for d in chord.degrees)


def _tensions(chord: Chord) -> Iterator[tuple[Degree, str]]:
    """Yield the tensions that a chord takes, each with the suffix that has it."""
    kind = _core_kind(chord)
    for name, suffix in _KINDS[kind][1].items() if kind is not None else ():
        if not (_is_altered(chord) and name in _PLAIN_OVER_ALTERED):
            yield Degree.parse(name), suffix


def _over(note: Note, chord: Chord, key: Key | None) -> Iterator[Harmony]:
    """Yield what a chord may become so that a note belongs to it, the nearest first."""
    above = (note.pitch_class - chord.root.pitch_class) % 12
    degree = chord.degree_of(note.pitch_class)
    if degree is not None:
        yield _told(chord, degree, key)
        return
    kind = _core_kind(chord)
    altered = _is_altered(chord)
    for near in _NEAR.get(kind, ()) if kind is not None else ():
        for degree, suffix in _degrees(near):
            if degree.pitch_class != above or (altered and degree.name in _PLAIN_OVER_ALTERED):
                continue
            yield _told(Chord.parse(chord.root.name + suffix), degree, key)


def _told(chord: Chord, degree: Degree, key: Key | None) -> Harmony:
    if key is None:
        return Harmony(chord, degree)
    scale = {note.pitch_class for note in key.scale}
    raised = scale | {(key.tonic.pitch_class - 1) % 12} if key.mode == "minor" else scale
    return Harmony(chord, degree, numeral_of(chord, key), {*chord.pcs} <= raised)


AVOID = "avoid note"


@dataclass(frozen=True, slots=True)
class MelodyRoles:
    """The roles of a melody's long notes, in an arrangement and over the chords as written.

    Parameters
    ----------
    played, written : dict of str to int
        How many long notes have each role: ``"third"``, ``"tension"``, ``"avoid note"`` and so on.

    Examples
    --------
    >>> tune = hk.read_tune("ropewalk_blues")
    >>> found = hk.arrange.melody_roles(hk.arrange.melody_on_top(tune, "ukulele").arrangement)
    >>> found.coloured, found.coloured_as_written, found.played.get("avoid note", 0)
    (8, 8, 0)
    """

    played: dict[str, int]
    written: dict[str, int]

    @property
    def coloured(self) -> int:
        """How many long notes are guide tones or tensions."""
        return _coloured(self.played)

    @property
    def coloured_as_written(self) -> int:
        """The same over the tune's own chords."""
        return _coloured(self.written)


def melody_roles(arrangement: Arrangement) -> MelodyRoles:
    """Return what the long notes of a tune's melody are in an arrangement of it.

    Parameters
    ----------
    arrangement : Arrangement

    Returns
    -------
    MelodyRoles

    Examples
    --------
    >>> found = hk.arrange.melody_on_top("ropewalk_blues", "ukulele")
    >>> hk.arrange.melody_roles(found.arrangement).played["seventh"]
    2
    """
    pairs = list(_long(arrangement))
    return MelodyRoles(
        _counted((sung, played) for sung, played, _ in pairs),
        _counted((sung, written) for sung, _, written in pairs),
    )


def _long(arrangement: Arrangement) -> Iterator[tuple[Sung, Chord | None, Chord | None]]:
    """Yield each long note with the chord that sounds as it begins, and with the tune's."""
    playing = arrangement.tune.playing
    steps, bars, place, bar = arrangement.steps, len(playing), 0, 0
    for sung in arrangement.tune.melody:
        while bar + 1 < bars and playing[bar + 1].onset <= sung.onset:
            bar += 1
        while place + 1 < len(steps) and steps[place + 1].onset <= sung.onset:
            place += 1
        meter = playing[bar].bar.meter
        long = min(2 * beat_length(meter), bar_length(meter) / 2)
        first = sung.onset == playing[bar].onset and sung.beats >= beat_length(meter)
        if sung.beats >= max(long, Fraction(1)) or first:
            step = steps[place]
            yield sung, step.written if step.alone else step.chord, step.written


def _counted(pairs: Iterator[tuple[Sung, Chord | None]]) -> dict[str, int]:
    return dict(
        Counter(
            role_in(sung.note.pitch_class, chord) or AVOID
            for sung, chord in pairs
            if chord is not None
        )
    )


def _coloured(roles: dict[str, int]) -> int:
    return sum(count for role, count in roles.items() if role in (*GUIDE, TENSION))
