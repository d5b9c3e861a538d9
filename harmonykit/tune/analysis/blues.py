"""The blues: twelve bars on I, IV and V, whose I7 and IV7 are chords at rest.

A chorus has I in bars 1 and 7 and IV in bar 5; a blues has nothing but whole choruses.  It is minor
where its I is (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.tune import Tune

BARS = 12
_TONIC_BARS, _FOURTH_BAR = (0, 6), 4
_FOURTH = 5


def blues_mode(opening: Sequence[Chord | None], key: Key) -> str:
    """Return the mode of a blues, or nothing where the bars are not one.

    Parameters
    ----------
    opening : sequence of Chord or None
        The chord at the start of each bar.
    key : Key

    Returns
    -------
    {"major", "minor", ""}

    Examples
    --------
    >>> bars = "C7 F7 C7 C7 F7 F7 C7 A7 Dm7 G7 C7 G7".split()
    >>> blues_mode([Chord.parse(each) for each in bars], Key.parse("C"))
    'major'
    >>> blues_mode([Chord.parse(each) for each in bars], Key.parse("F"))
    ''
    """
    if not opening or len(opening) % BARS:
        return ""
    tonic = key.tonic.pitch_class
    modes = set()
    for start in range(0, len(opening), BARS):
        home = [opening[start + bar] for bar in _TONIC_BARS]
        fourth = opening[start + _FOURTH_BAR]
        above = [-1 if one is None else (one.root.pitch_class - tonic) % 12 for one in home]
        if any(above) or fourth is None or home[0] is None:
            return ""
        if (fourth.root.pitch_class - tonic) % 12 != _FOURTH:
            return ""
        # A plain or a sixth chord on IV is as good in a song of twelve bars that is not a blues.
        if not (home[0].is_minor or home[0].is_dominant or fourth.is_dominant):
            return ""
        modes.add("minor" if home[0].is_minor else "major")
    return modes.pop() if len(modes) == 1 else ""


def blues_of(tune: Tune) -> str:
    """Return the mode of a tune that is a blues as it is played, or nothing.

    Examples
    --------
    >>> blues_of(Tune.parse("| C7 | F7 | C7 | C7 | F7 | F7 | C7 | A7 | Dm7 | G7 | C7 | G7 |"))
    'major'
    """
    bars = [played for played in tune.playing if played.bar.number]
    changes, opening = tune.changes, []
    for played in bars:
        sounding = [change.chord for change in changes if change.onset <= played.onset]
        opening.append(sounding[-1] if sounding else None)
    return blues_mode(opening, tune.key)
