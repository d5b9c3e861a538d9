"""The chord inside a chord with tensions or a major seventh, which stands in for it.

A sixth-diminished scale has four notes of a chord: a sixth, a minor sixth, a seventh (their
synonyms among them).  A ninth, eleventh or thirteenth walks as the seventh or the sixth inside it,
and a major seventh as the sixth: the chord as written is held for two beats before the walk, and a
major seventh may be there again on arrival.  (Common practice, no source.)
"""

from harmonykit.theory.chord import Chord, Degree, Interval
from harmonykit.theory.scale import SixthDiminished, scales_for

_SEVENTH, _SIXTH = Degree(7), Degree(6)
_SUS, _SHARP_FIFTH = Degree(4), Degree(5, 1)
_FLAT_SEVENTH = Degree(7, -1)
_FOUR = 4


def has_major_seventh(chord: Chord) -> bool:
    """Whether a chord has a major seventh."""
    return _SEVENTH in chord.degrees


def chord_inside(chord: Chord) -> Chord:
    """Return a chord without its tensions, a sixth in place of a major seventh.

    Examples
    --------
    >>> [str(chord_inside(Chord.parse(name))) for name in ("C9", "Dm11", "Fmaj9", "G7", "Cm(maj7)")]
    ['C7', 'Dm7', 'F6', 'G7', 'Cm6']
    """
    degrees = {degree for degree in chord.degrees if degree.number <= _SEVENTH.number}
    if degrees == set(chord.degrees) and _SEVENTH not in degrees:
        return chord
    if _SEVENTH in degrees:
        degrees = degrees - {_SEVENTH} | {_SIXTH}
    if not any(degree.number == _SHARP_FIFTH.number for degree in degrees):
        degrees.add(Degree(5))
    return Chord.build(chord.root, tuple(sorted(degrees)), chord.bass)


def walking_scales(chord: Chord, *, rootless: bool) -> tuple[SixthDiminished, ...]:
    """Return the scales on which a chord walks, the one with its root first.

    Parameters
    ----------
    chord : Chord
    rootless : bool
        Whether somebody else sounds the root, so that the others serve, too: a major seventh's on
        its fifth, a suspended seventh's on its seventh, an altered dominant's on its ♭9.

    Examples
    --------
    >>> for name in ("C9", "Cmaj7", "G9sus4", "G7#5"):
    ...     print(*walking_scales(Chord.parse(name), rootless=True), sep=", ")
    C dominant seventh-diminished, G minor sixth-diminished, D♭ minor sixth-diminished
    C major sixth-diminished, G major sixth-diminished
    F major sixth-diminished
    A♭ minor sixth-diminished
    """
    found = scales_for(chord_inside(chord))
    if not rootless:
        return found[:1]
    if has_major_seventh(chord):
        found += tuple(scale for scale in scales_for(chord) if scale not in found)
    if not found and _FLAT_SEVENTH in chord.degrees:
        if _SUS in chord.degrees:
            found = (_scale(chord, "m7", "major"),)
        elif _SHARP_FIFTH in chord.degrees and len(chord.degrees) == _FOUR:
            found = (_scale(chord, "m2", "minor"),)
    return found


def _scale(chord: Chord, interval: str, kind: str) -> SixthDiminished:
    return SixthDiminished(chord.root.transpose(Interval.parse(interval)), kind)
