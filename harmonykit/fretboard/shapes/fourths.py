"""Stacked fourths: grips of four notes, each a perfect fourth above the one before.

A minor chord stands on its root, so that its third is the last of the notes: D G C F over Dm7, a
Dm11.  A chord with a suspended fourth and a minor seventh stands on its fifth: A D G C, a D7sus4.
A major chord has them where it has a sixth and a ninth: on its third, E A D G in C6/9, and on its
seventh where it has one, B E A D in Cmaj13.  A dominant has none: its third and its seventh are a
tritone apart.  (Common practice, no source.)

The strings lie side by side.  On a re-entrant string a note sounds an octave higher than its place
in the stack; where the strings stand a fifth apart the stack is turned over, and the same notes
are stacked in fifths (Persichetti 1961, ch. 4, from memory).
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise, product

from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes import marks, textures
from harmonykit.fretboard.shapes.tones import unwanted
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord, Degree
from harmonykit.words.numbers import join_words

FOURTHS = "fourths"
_FOURTH, _FIFTH, _SEVENTH, _VOICES, _SPAN = 5, 7, 10, 4, 4
_MAJOR_THIRD, _MAJOR_SEVENTH = 4, 11
_THIRDS = {3, _MAJOR_THIRD}
_MAJOR = {0, 2, _MAJOR_THIRD, _FIFTH, 9, _MAJOR_SEVENTH}
_ELEVENTH = ((1, 0), (3, -1), (5, 0), (7, -1), (9, 0), (11, 0))
_SUSPENDED = ((1, 0), (4, 0), (5, 0), (7, -1))
# A flat ninth or sixth, a major seventh, and what clashes with the fourth.
_RUBS = {1, 6, 8, 11}


def stack_on(chord: Chord) -> int | None:
    """Return on which tone a chord's fourths stand, in semitones above its root; None for none.

    Examples
    --------
    >>> [stack_on(Chord.parse(name)) for name in ("Dm7", "Dm", "D7sus4", "D7", "Dm7b5", "Dmmaj7")]
    [0, 0, 7, None, None, None]
    >>> [stack_on(Chord.parse(name)) for name in ("C6/9", "Cmaj13", "C13")]
    [4, 11, None]
    """
    tones = set(chord.semitones)
    if chord.bass == chord.root and _is_major(chord) and not _missing(chord):
        return _MAJOR_SEVENTH if _MAJOR_SEVENTH in tones else _MAJOR_THIRD
    if chord.bass != chord.root or tones & _RUBS or _FIFTH not in tones:
        return None
    if tones & _THIRDS == {3}:
        return 0
    return _FIFTH if not tones & _THIRDS and {_FOURTH, _SEVENTH} <= tones else None


def stack_of(chord: Chord) -> tuple[int, ...]:
    """Return the pitch classes of a chord's fourths, the lowest first; none where it has none.

    Examples
    --------
    >>> [chord.spell(tone).name for chord in [Chord.parse("Dm7")] for tone in stack_of(chord)]
    ['D', 'G', 'C', 'F']
    """
    start = stack_on(chord)
    if start is None:
        return ()
    low = chord.root.pitch_class + start
    return tuple((low + n * _FOURTH) % 12 for n in range(_VOICES))


def named_in_fourths(chord: Chord) -> Chord:
    """Return what fourths over a chord that has them are called.

    They are a minor eleventh, without the fifth and the ninth, or a seventh with a suspended
    fourth.

    Examples
    --------
    >>> [named_in_fourths(Chord.parse(name)).symbol for name in ("Dm7", "Dm", "D9sus4")]
    ['Dm11', 'Dm11', 'D7sus4']
    """
    kind = _ELEVENTH if 3 in chord.semitones else _SUSPENDED
    return Chord.build(chord.root, tuple(map(Degree, *zip(*kind, strict=True))), chord.root)


@lru_cache(maxsize=1024)
def in_fourths(chord: Chord, instrument: Instrument, limits: Limits) -> tuple[Voicing, ...]:
    """Return the grips of a chord in stacked fourths that a hand can hold, the lowest first.

    Of many strings the lowest is left out, on which they sound thick.

    Examples
    --------
    >>> guitar = Instrument.named("guitar")
    >>> [one.digits for one in in_fourths(Chord.parse("Dm11"), guitar, Limits(max_fret=9))]
    ['x-x-0-0-1-1', 'x-5-5-5-6-x']
    """
    stack = stack_of(chord)
    if not {*chord.pcs} >= {*stack}:
        return ()
    if marks.in_fifths(instrument):
        stack = stack[::-1]
    strings = len(instrument.midi)
    lowest = 1 if textures.has_many_strings(instrument) or instrument.starts else 0
    found = []
    for first in range(lowest, strings - len(stack) + 1) if stack else ():
        held = instrument.midi[first : first + _VOICES]
        around = (None,) * first, (None,) * (strings - first - _VOICES)
        for frets in product(*(_frets(*pair, limits) for pair in zip(held, stack, strict=True))):
            if _is_near(frets) and _is_stacked(held, frets, instrument):
                shape = (*around[0], *frets, *around[1])
                if can_hold(shape, instrument, limits):
                    found.append(Voicing(instrument, shape))
    return tuple(sorted(found, key=lambda one: (one.highest_fret, one.digits)))


def no_fourths(chord: Chord) -> str:
    """Return why no fourths that move stand over a chord, in words; empty where they do.

    Examples
    --------
    >>> no_fourths(Chord.parse("C7"))
    'C7 is neither minor nor suspended'
    >>> no_fourths(Chord.parse("Dm7"))
    ''
    """
    if _MAJOR_THIRD in chord.semitones:
        return f"{chord.unicode} is neither minor nor suspended"
    if stack_on(chord) is not None:
        return ""
    if chord.bass != chord.root:
        return f"{chord.unicode} has another bass than its root"
    return f"{chord.unicode} has no fourths that keep its fifth and a minor seventh"


def not_in_fourths(chord: Chord) -> str:
    """Return why a chord's own notes are no stack of fourths, in words; empty where they are.

    Examples
    --------
    >>> not_in_fourths(Chord.parse("Dm7"))
    'Dm7 has no eleventh: in stacked fourths it is Dm11'
    >>> not_in_fourths(Chord.parse("C6"))
    'C6 has no ninth: in stacked fourths it is C6/9'
    >>> not_in_fourths(Chord.parse("Dm11"))
    ''
    """
    stack = stack_of(chord)
    if stack and {*chord.pcs} >= {*stack}:
        return ""
    if _MAJOR_THIRD in chord.semitones:
        return _not_major(chord)
    if why := no_fourths(chord):
        return why
    named = named_in_fourths(chord).unicode
    missing = "eleventh" if _SEVENTH in chord.semitones else "minor seventh"
    return f"{chord.unicode} has no {missing}: in stacked fourths it is {named}"


def _is_major(chord: Chord) -> bool:
    """Whether a chord has a major third and a fifth, and nothing that clashes with its fourths."""
    tones = {*chord.semitones} - {*unwanted(chord)}
    return {0, _MAJOR_THIRD, _FIFTH} <= tones <= _MAJOR


def _missing(chord: Chord) -> list[str]:
    """Return what a major chord lacks of the notes of its fourths."""
    names = [(9, "sixth"), (2, "ninth")]
    if _MAJOR_SEVENTH in chord.semitones:
        names = [(2, "ninth"), (9, "thirteenth")]
    return [name for tone, name in names if tone not in chord.semitones]


def _not_major(chord: Chord) -> str:
    """Return why a chord with a major third has no fourths."""
    name, tones = chord.unicode, set(chord.semitones)
    if _SEVENTH in tones:
        return f"the third and the seventh of {name} are a tritone apart: fourths hold one of them"
    if chord.bass != chord.root:
        return f"{name} has another bass than its root"
    if not _is_major(chord):
        return f"no four notes of {name} that tell it lie a fourth apart"
    full = f"{chord.root.unicode}{'maj13' if _MAJOR_SEVENTH in tones else '6/9'}"
    return f"{name} has no {join_words(_missing(chord), 'or')}: in stacked fourths it is {full}"


def _frets(string: int, tone: int, limits: Limits) -> range:
    return range((tone - string) % 12, limits.max_fret + 1, 12)


def _is_near(frets: tuple[int, ...]) -> bool:
    return max(frets) - min(frets) <= _SPAN


def _is_stacked(strings: tuple[int, ...], frets: tuple[int, ...], instrument: Instrument) -> bool:
    """Whether each string lies where the stack has it, but for a re-entrant one."""
    rising = {_FIFTH} if marks.in_fifths(instrument) else {_FOURTH}
    pitches = [string + fret for string, fret in zip(strings, frets, strict=True)]
    pairs = zip(pairwise(strings), pairwise(pitches), strict=True)
    return all(high < low or after - before in rising for (low, high), (before, after) in pairs)
