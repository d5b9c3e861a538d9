"""Which tones of a chord must sound on so many strings, and which pitches are asked for.

Conventions.  Semitones stand above the chord's root, modulo 12; a pitch is a MIDI number.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import Note

Tone = Note | str | int

_DEGREE = re.compile(r"[b#]*\d+")
_ROOT, _FIFTH = Degree(1), Degree(5)
# From here up a fifth is dropped even where there is room: the open C7 of a guitar has none.
_MANY_STRINGS = 5


def usual_omissions(chord: Chord, strings: int) -> tuple[int, ...]:
    """Return the tones that players leave out of a chord on so many strings, the first to go first.

    What fits is left whole, but that five or more strings may do without the plain fifth of a
    chord of four tones or more.  Otherwise a plain fifth goes, then the root, then stacked tones
    that the symbol does not name; on five and six strings those go before the root.  Third (or
    sus), seventh or sixth, and an altered fifth always stay, and so does a diminished seventh
    on four strings.  (Common practice, no source.)

    Parameters
    ----------
    chord : Chord
    strings : int
        How many strings sound.

    Returns
    -------
    tuple of int
        Semitones above the root, as ``omit`` of ``find_voicings`` takes them.

    Examples
    --------
    >>> usual_omissions(Chord.parse("G9"), 4), usual_omissions(Chord.parse("Bdim7"), 4)
    ((7, 0), ())
    >>> usual_omissions(Chord.parse("C7"), 3), usual_omissions(Chord.parse("C7"), 6)
    ((7, 0), (7,))
    """
    tones = len(chord.semitones)
    order = _order(chord, strings)
    if tones <= strings:
        fifth = _FIFTH in chord.degrees and tones > 3 and strings >= _MANY_STRINGS
        return (_FIFTH.pitch_class,) if fifth else ()
    needed = tones - strings
    customary = sum(degree in (_ROOT, _FIFTH) for degree in order) if strings < _MANY_STRINGS else 0
    return tuple(degree.pitch_class for degree in order[: max(needed, customary)])


def _order(chord: Chord, strings: int) -> list[Degree]:
    """Return the degrees that may go, the first to go first."""
    upper = sorted((d for d in chord.degrees if d.number > 7), key=lambda d: -d.number)
    unsaid = [d for d in reversed(chord.degrees) if _unsaid(chord, d)]
    plain = [d for d in upper if not d.alter and d not in unsaid]
    altered = [d for d in upper if d.alter and d not in unsaid]
    root = [_ROOT] if _ROOT in chord.degrees else []
    fifth = [_FIFTH] if _FIFTH in chord.degrees else []
    if strings < _MANY_STRINGS:
        return [*fifth, *root, *unsaid, *plain, *altered]
    return [*fifth, *unsaid, *root, *plain, *altered]


def _unsaid(chord: Chord, degree: Degree) -> bool:
    """Whether a stacked tone comes along without being named: the 9 and 11 of a 13."""
    return degree not in (_ROOT, _FIFTH) and degree.pitch_class in chord.droppable


def mask(semitones: Iterable[int], root: int) -> int:
    """Return the bit mask of the pitch classes so many semitones above a root.

    Examples
    --------
    >>> bin(mask((0, 4, 7), root=0))
    '0b10010001'
    """
    found = 0
    for above in semitones:
        found |= 1 << (root + above) % 12
    return found


def above_root(chord: Chord, tone: Tone | Degree) -> int:
    """Return the semitones above the root of a tone that may be left out or doubled.

    Raises
    ------
    HarmonyError
        If it is no tone of the chord.

    Examples
    --------
    >>> chord = Chord.parse("E7b9")
    >>> [above_root(chord, tone) for tone in ("B", "5", 7, Degree.parse("b9"))]
    [7, 7, 7, 1]
    """
    if isinstance(tone, int):
        above = tone % 12
    elif isinstance(tone, Degree):
        above = tone.pitch_class
    elif isinstance(tone, str) and _DEGREE.fullmatch(tone):
        above = Degree.parse(tone).pitch_class
    else:
        note = Note.parse(tone) if isinstance(tone, str) else tone
        above = (note.pitch_class - chord.root.pitch_class) % 12
    if above not in chord.semitones:
        named = zip(chord.degrees, chord.tones, strict=True)
        raise HarmonyError(
            f"{str(tone)!r} can be neither left out of {chord} nor doubled: it is no tone of it",
            rule="a number counts semitones above the root; degrees and note names are text",
            mend=", ".join(f'"{degree}" ({note.name})' for degree, note in named),
        )
    return above


def asked_pitch(tone: Tone | None) -> int | None:
    """Return a pitch class (0 to 11) for a bare name, or a MIDI number (12 and up).

    Examples
    --------
    >>> asked_pitch("Bb"), asked_pitch("C5"), asked_pitch(None)
    (10, 72, None)
    """
    if tone is None or isinstance(tone, int):
        return tone
    note = Note.parse(tone) if isinstance(tone, str) else tone
    return note.pitch_class if note.octave is None else note.midi


def outer_pitches_fit(
    pitches: Iterable[int], low: int | None, high: int | None, foreign: bool
) -> bool:
    """Whether the lowest and the highest pitch are what was asked for.

    A ``foreign`` bass may not sound above the lowest pitch too: there it would be a tone added
    to the chord.

    Examples
    --------
    >>> outer_pitches_fit((67, 60, 64, 72), low=0, high=72, foreign=False)
    True
    """
    sounding = tuple(pitches)
    lowest, highest = min(sounding), max(sounding)
    if low is not None and low not in (lowest, lowest % 12):
        return False
    if foreign and any(p != lowest and p % 12 == lowest % 12 for p in sounding):
        return False
    return high is None or high in (highest, highest % 12)
