"""The key that a row of chords stands in, found by our own rules.

Each key is given points: for chords made of its notes by how long they last, for a tonic chord at
the end and at the beginning, and for its own dominant going home.  The key with most points is
found; it is doubtful where another comes near.  The weights are ours (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import MODES, Key
from harmonykit.theory.note import Note
from harmonykit.tune.bar import TuneError

# Points: of a chord in the key for its share of the whole time, and of what shows the tonic.
_INSIDE, _LAST, _FIRST, _DOMINANT, _TONIC_TIME = 10.0, 3.5, 1.5, 5.0, 3.0
# A triad on the fifth degree may be another key's tonic.
_TRIAD = 0.5
_NEAR = 2.5
_MOST_SHARPS = 6


@dataclass(frozen=True, slots=True)
class FoundKey:
    """A key, and others that come near it."""

    key: Key
    near: tuple[Key, ...] = ()


def find_key(chords: Iterable[tuple[Chord | None, Fraction]]) -> FoundKey:
    """Return the key that fits chords best, each with how long it lasts.

    Raises
    ------
    TuneError
        If no chord is among them.

    Examples
    --------
    >>> lasting = [(Chord.parse(s), Fraction(2)) for s in ("Dm7", "G7", "Cmaj7", "Am7")]
    >>> str(find_key(lasting).key)
    'C major'
    """
    heard = [(chord, beats) for chord, beats in chords if chord is not None]
    if not heard:
        raise TuneError("no chord tells the key")
    points = {key: _points(key, heard) for key in _keys(heard)}
    best = max(points, key=lambda key: points[key])
    near = [k for k in points if k != best and points[best] - points[k] < _NEAR]
    return FoundKey(best, tuple(sorted(near, key=lambda key: -points[key])))


def _keys(heard: Sequence[tuple[Chord, Fraction]]) -> list[Key]:
    """Return the 24 keys, each spelled so as to be near the chords' own names."""
    middle = round(sum(chord.root.fifths for chord, _ in heard) / len(heard))
    low = max(-_MOST_SHARPS - 1, min(middle - 6, _MOST_SHARPS - 10))
    tonics = [Note.from_fifths(low + step) for step in range(12)]
    return [Key(tonic, mode).readable() for mode in MODES for tonic in tonics]


def _points(key: Key, heard: Sequence[tuple[Chord, Fraction]]) -> float:
    total = sum(beats for _, beats in heard)
    inside = sum(_inside(chord, key) * beats for chord, beats in heard) / total
    home = sum(beats for chord, beats in heard if is_tonic(chord, key)) / total
    found = _INSIDE * float(inside) + _TONIC_TIME * float(home)
    found += _LAST * _home(heard[-1][0], key) + _FIRST * _home(heard[0][0], key)
    steps = [(one, two) for (one, _), (two, _) in pairwise(heard) if is_tonic(two, key)]
    dominants = sum(own_dominant(one, key) for one, _ in steps)
    return found + _DOMINANT * dominants / max(len(steps), 1)


def _home(chord: Chord, key: Key) -> float:
    """Return how much a chord is the tonic: one with a minor seventh, as in a blues, by half."""
    same_root = chord.root.pitch_class == key.tonic.pitch_class
    return (
        0.5
        if same_root and chord.is_dominant and key.mode == "major"
        else float(is_tonic(chord, key))
    )


def _inside(chord: Chord, key: Key) -> Fraction:
    pcs = tuple(chord.pcs)
    return Fraction(sum(pc in key_pcs(key) for pc in pcs), len(pcs)) ** 2


def key_pcs(key: Key) -> frozenset[int]:
    """Return the pitch classes of a key; a minor key has its leading tone too.

    Examples
    --------
    >>> sorted(key_pcs(Key.parse("A minor")))
    [0, 2, 4, 5, 7, 8, 9, 11]
    """
    pcs = {note.pitch_class for note in key.scale}
    return frozenset(pcs | {(key.tonic.pitch_class - 1) % 12})


def is_tonic(chord: Chord, key: Key) -> bool:
    """Return whether a chord is the key's own tonic: a triad, with sixth or major seventh.

    A minor seventh on a minor tonic is one too.
    """
    if chord.root.pitch_class != key.tonic.pitch_class:
        return False
    above = set(chord.semitones)
    third = 4 if key.mode == "major" else 3
    return third in above and 6 not in above and not (third == 4 and 10 in above)


def own_dominant(chord: Chord, key: Key) -> float:
    """Return how surely a chord is the key's own dominant: a triad on the fifth only by half."""
    above = (chord.root.pitch_class - key.tonic.pitch_class) % 12
    if above == 11 and 6 in chord.semitones:
        return 1.0
    if above == 7 and 4 in chord.semitones:
        return 1.0 if 10 in chord.semitones else _TRIAD
    return 0.0
