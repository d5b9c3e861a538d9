"""Which tones of a chord must sound on so many strings, and which pitches are asked for.

Conventions.  Semitones stand above the chord's root, modulo 12; a pitch is a MIDI number.
"""

import re
from collections.abc import Iterable

from harmonykit.errors import HarmonyError, need_several, wrong_kind
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import Note, as_note

Tone = Note | str | int
Tones = Iterable[Tone | Degree]

_DEGREE = re.compile(r"[b#]*\d+")
_ROOT, _THIRD, _FIFTH = Degree(1), Degree(3), Degree(5)
_FLAT_SEVENTH, _ELEVENTH, _THIRTEENTH = Degree(7, -1), Degree(11), Degree(13)
# From here up a chord has room to spare: the open C6 of a guitar, x32210, has no fifth.
_MANY_STRINGS = 5
# Of an altered dominant: its tensions above the root, and the strings for guide tones and one.
_ALTERED, _FEWEST = {1, 3, 6, 8}, 3


def as_tones(given: Tones | str, name: str) -> tuple[Tone | Degree, ...]:
    """Return the tones that were handed in as a list, or as one text in which blanks part them.

    Examples
    --------
    >>> as_tones("1 b9", "omit"), as_tones([7], "omit")
    (('1', 'b9'), (7,))
    """
    if isinstance(given, str):
        return tuple(given.replace(",", " ").split())
    wanted = f"{name} is a list of degrees, notes, or semitones"
    tones = tuple(need_several(given, wanted, f'{name}=["5", "1"]'))
    for tone in tones:
        if isinstance(tone, bool) or not isinstance(tone, Note | str | int | Degree):
            raise wrong_kind(tone, "a degree, a note, or semitones above the root", '"5", "G", 7')
    return tones


def usual_omissions(chord: Chord, strings: int) -> tuple[int, ...]:
    """Return the tones that players leave out of a chord on so many strings, the first to go first.

    What may go depends on the kind of chord.  A triad, a suspension and a diminished seventh stay
    whole, where strings suffice.  A chord with a seventh or a ninth may lose its plain fifth, on
    any number of strings; a sixth or an added tone without a seventh only on five and more, since
    C6 without its G is A minor.  On four strings a dominant may do without its root, and so may
    whatever has more tones than strings.  What the symbol's last number brings along unsaid, the
    9 of a 13, may go everywhere; the natural eleventh of a 13 with a major third always does
    (``unwanted``).  Third (or sus), seventh or sixth, and every altered tone stay, as long as
    there are strings for them.  (Common practice, no source.)

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
    >>> usual_omissions(Chord.parse("Cmaj7"), 4), usual_omissions(Chord.parse("C6"), 4)
    ((7,), ())
    >>> usual_omissions(Chord.parse("C13"), 6)
    (5, 7, 2)
    """
    never = unwanted(chord)
    wanted = len(chord.semitones) - len(never)
    few = strings < _MANY_STRINGS
    order = [degree for degree in _order(chord, few=few) if degree.pitch_class not in never]
    free = [degree for degree in order if _may_go(chord, degree, wanted, strings)]
    for degree in order:
        if wanted - len(free) > strings and degree not in free:
            free.append(degree)
    return (*never, *(degree.pitch_class for degree in order if degree in free))


def unwanted(chord: Chord) -> tuple[int, ...]:
    """Return the tones that a player never sounds, although the chord's full stack has them.

    A natural eleventh lies a semitone above the major third, so that a 13 is played without it; a
    symbol that ends with 11 names it, and then the third goes.  (Common practice, no source.)

    Examples
    --------
    >>> unwanted(Chord.parse("C13")), unwanted(Chord.parse("Cm13")), unwanted(Chord.parse("C11"))
    ((5,), (), ())
    """
    clash = {_THIRD, _ELEVENTH, _THIRTEENTH} <= set(chord.degrees)
    return (_ELEVENTH.pitch_class,) if clash else ()


def _may_go(chord: Chord, degree: Degree, tones: int, strings: int) -> bool:
    """Whether players leave a degree out of a chord of so many tones, also where it would fit."""
    degrees = set(chord.degrees)
    few, crowded = strings < _MANY_STRINGS, tones > strings
    if degree == _FIFTH:
        rich = any(found.number == 7 for found in degrees) or tones > 4
        return tones > 3 and (rich or crowded or not few)
    if degree == _ROOT:
        dominant = {_THIRD, _FLAT_SEVENTH} <= degrees
        return few and (crowded or (dominant and _FIFTH in degrees and tones > 3))
    return _unsaid(chord, degree)


def _order(chord: Chord, *, few: bool) -> list[Degree]:
    """Return the degrees that may go, the first to go first."""
    upper = sorted((d for d in chord.degrees if d.number > 7), key=lambda d: -d.number)
    unsaid = [d for d in reversed(chord.degrees) if _unsaid(chord, d)]
    plain = [d for d in upper if not d.alter and d not in unsaid]
    altered = [d for d in upper if d.alter and d not in unsaid]
    root = [_ROOT] if _ROOT in chord.degrees else []
    fifth = [_FIFTH] if _FIFTH in chord.degrees else []
    if few:
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


def keeps_altered(chord: Chord, strings: int, heard: int) -> bool:
    """Whether a dominant with altered tones sounds one of them, or has no string for one.

    Without a ♭9, ♯9, ♯11 (♭5) or ♭13 (♯5) an altered dominant is a plain seventh.

    Examples
    --------
    >>> alt = Chord.parse("C7alt")
    >>> keeps_altered(alt, 4, mask((0, 4, 10), 0)), keeps_altered(alt, 4, mask((1, 4, 10), 0))
    (False, True)
    """
    altered = _ALTERED & {*chord.semitones}
    if not chord.is_dominant or not altered or strings < _FEWEST:
        return True
    return bool(heard & mask(altered, chord.root.pitch_class))


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
            f"{str(tone)!r} is not a tone of {chord}: it can be neither left out nor doubled",
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
    if isinstance(tone, bool):
        raise wrong_kind(tone, "a note, a pitch class or a MIDI number", '"C", "C5" or 72')
    if tone is None or isinstance(tone, int):
        return tone
    note = as_note(tone)
    return note.pitch_class if note.octave is None else note.midi


def outer_pitches_fit(
    pitches: Iterable[int], low: int | None, high: int | None, *, foreign: bool
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
