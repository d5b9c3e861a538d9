"""How the root of a chord moves to that of the next."""

from harmonykit.theory.chord import Chord


def root_fall(chord: Chord, after: Chord) -> int:
    """Return by how many semitones the root falls to that of the next chord, from 0 to 11.

    Examples
    --------
    >>> [root_fall(Chord.parse("G7"), Chord.parse(name)) for name in ("C6", "F#7", "Am7")]
    [7, 1, 10]
    """
    return (chord.root.pitch_class - after.root.pitch_class) % 12


def falls_a_fifth(chord: Chord, after: Chord) -> bool:
    """Whether the root falls by a fifth, or rises by a fourth.

    Examples
    --------
    >>> falls_a_fifth(Chord.parse("Dm7"), Chord.parse("G7/B"))
    True
    """
    return root_fall(chord, after) == 7
