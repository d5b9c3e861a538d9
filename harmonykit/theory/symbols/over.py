"""Two chords at once, the one over the other, as one chord on the lower root."""

from __future__ import annotations

from harmonykit.theory.chord import Chord
from harmonykit.theory.degree import Degree

# What a note above a root is called beside the lower chord's own tones; a ninth of each kind, an
# eleventh, a thirteenth, and what the lower chord lacks of fifth and seventh.
_TENSIONS = {
    1: Degree(9, -1), 2: Degree(9), 3: Degree(9, 1), 4: Degree(3), 5: Degree(11),
    6: Degree(11, 1), 7: Degree(5), 8: Degree(13, -1), 9: Degree(13), 10: Degree(7, -1),
    11: Degree(7),
}  # fmt: skip


def over_chord(upper: Chord, lower: Chord) -> Chord | None:
    """Return the lower chord with the upper one's notes as tensions.

    Parameters
    ----------
    upper, lower : Chord
        A bass of the upper chord is one of its notes.

    Returns
    -------
    Chord or None
        On the lower root and bass; None where the upper chord has a third, a fifth or a seventh
        beside another one of the lower chord.

    Examples
    --------
    >>> over_chord(Chord.parse("D"), Chord.parse("C7"))
    Chord.parse('C13#11')
    >>> over_chord(Chord.parse("E"), Chord.parse("Cm")) is None
    True
    """
    here = {degree.pitch_class for degree in lower.degrees}
    numbers = {degree.number for degree in lower.degrees}
    found = set(lower.degrees)
    tones = {note.pitch_class for note in (*upper.tones, upper.bass)}
    for above in sorted((tone - lower.root.pitch_class) % 12 for tone in tones):
        if above in here or above == 0:
            continue
        degree = _TENSIONS[above]
        if degree.number in numbers & {3, 5, 7}:
            return None
        found.add(degree)
        numbers.add(degree.number)
    return Chord.build(lower.root, found, lower.bass)
