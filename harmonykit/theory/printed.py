"""What a chart prints for a chord, and where there is none."""

from harmonykit.theory.chord import Chord

NO_CHORD = "N.C."


def printed_chord(chord: Chord | None) -> str:
    """Return a chord's symbol as it is printed; N.C. where nothing is played.

    Examples
    --------
    >>> printed_chord(hk.Chord.parse("Bbm7b5")), printed_chord(None)
    ('B♭m7♭5', 'N.C.')
    """
    return chord.unicode if chord is not None else NO_CHORD
