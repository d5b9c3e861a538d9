"""What a note does in its chord, as a role and in words."""

from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.note import printed_accidental

# Role to the word that the key and the alt text use.
ROLES = {
    "note": "note",
    "root": "root",
    "third": "third",
    "fifth": "fifth",
    "seventh": "sixth or seventh",
    "tension": "tension",
    "was": "where it was",
    "passing": "passing",
}

# What a finger does on the way to a shape, in diagrams with fingers.
FINGER_ROLES = {"stays": "finger that stays", "slides": "finger that slides"}
MARK_WORDS = ROLES | FINGER_ROLES
"""Every mark that a key may hold, with its word."""


def role_of(chord: Chord | None, pitch_class: int) -> str:
    """Return the role of a pitch class in a chord.

    A diminished seventh is the same from each of its notes, so all of them are plain notes; a note
    outside the chord is one too.  An altered fifth over a major third is a tension, the fifth of
    a chord with a minor third is its fifth.  The note that is suspended is a tension.

    Examples
    --------
    >>> [role_of(Chord.parse("D7"), pc) for pc in (2, 6, 9, 0)]
    ['root', 'third', 'fifth', 'seventh']
    >>> role_of(Chord.parse("C7#5"), 8), role_of(Chord.parse("Bm7b5"), 5)
    ('tension', 'fifth')
    """
    if chord is None or chord.is_diminished_seventh:
        return "note"
    degree = chord.degree_of(pitch_class)
    if degree is None:
        return "note"
    if degree.number == 5:
        altered = degree.alter != 0 and Degree(3) in chord.degrees
        return "tension" if altered else "fifth"
    return {1: "root", 3: "third", 6: "seventh", 7: "seventh"}.get(degree.number, "tension")


def degree_word(chord: Chord | None, pitch_class: int) -> str:
    """Return the place of a pitch class in its chord in words; empty where it has none.

    Examples
    --------
    >>> degree_word(Chord.parse("D7"), 0), degree_word(Chord.parse("D7b9"), 3)
    ('the flat seventh', 'the flat ninth')
    >>> degree_word(Chord.parse("C/D"), 2)
    'the bass'
    """
    degree = None if chord is None else chord.degree_of(pitch_class)
    if degree is None:
        return "the bass" if chord and chord.bass.pitch_class == pitch_class else ""
    return f"the {_alter_word(degree)}{_NUMBER_WORDS[degree.number]}"


def degree_label(chord: Chord | None, pitch_class: int) -> str:
    """Return the place of a pitch class in its chord as it is printed; empty where it has none.

    Examples
    --------
    >>> degree_label(Chord.parse("D7b9"), 3), degree_label(Chord.parse("Bdim7"), 8)
    ('♭9', '𝄫7')
    """
    degree = None if chord is None else chord.degree_of(pitch_class)
    return "" if degree is None else f"{printed_accidental(degree.alter)}{degree.number}"


_NUMBER_WORDS = dict(
    enumerate(
        "root second third fourth fifth sixth seventh octave ninth tenth eleventh twelfth "
        "thirteenth".split(),
        start=1,
    )
)


def _alter_word(degree: Degree) -> str:
    if degree.number == 3:
        return {-1: "minor ", 0: "major "}.get(degree.alter, "")
    if degree.number == 7:
        return {-2: "diminished ", -1: "flat ", 0: "major "}.get(degree.alter, "")
    return {-2: "double flat ", -1: "flat ", 1: "sharp ", 2: "double sharp "}.get(degree.alter, "")
