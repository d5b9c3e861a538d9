"""The chord that a MusicXML harmony names: root, kind, degrees, bass.

The kinds are those of MusicXML 4.0 (W3C Community Group Final Report 2021, ``kind-value``):
eleventh and thirteenth chords have all lower thirds, ``diminished`` is a triad, ``major-minor`` a
minor triad with a major seventh.  A degree that is *added* is counted from a dominant chord, so
that an added 7 without alteration is a minor seventh; one that is *altered* is counted from the
kind's own degree (``degree-alter`` of the same report).
"""

from dataclasses import dataclass

from harmonykit.theory.chord import Chord, Degree, read_symbol
from harmonykit.theory.note import Note
from harmonykit.tune.bar import TuneError

KIND_DEGREES = {
    "major": "1 3 5",
    "minor": "1 b3 5",
    "augmented": "1 3 #5",
    "diminished": "1 b3 b5",
    "dominant": "1 3 5 b7",
    "major-seventh": "1 3 5 7",
    "minor-seventh": "1 b3 5 b7",
    "diminished-seventh": "1 b3 b5 bb7",
    "augmented-seventh": "1 3 #5 b7",
    "half-diminished": "1 b3 b5 b7",
    "major-minor": "1 b3 5 7",
    "major-sixth": "1 3 5 6",
    "minor-sixth": "1 b3 5 6",
    "dominant-ninth": "1 3 5 b7 9",
    "major-ninth": "1 3 5 7 9",
    "minor-ninth": "1 b3 5 b7 9",
    "dominant-11th": "1 3 5 b7 9 11",
    "major-11th": "1 3 5 7 9 11",
    "minor-11th": "1 b3 5 b7 9 11",
    "dominant-13th": "1 3 5 b7 9 11 13",
    "major-13th": "1 3 5 7 9 11 13",
    "minor-13th": "1 b3 5 b7 9 11 13",
    "suspended-second": "1 2 5",
    "suspended-fourth": "1 4 5",
    "power": "1 5",
    "Tristan": "1 #4 #6 #9",
}
# More accidentals than anybody writes before a degree.
MOST_ALTER = 4
# Neapolitan, the augmented sixths and pedal have no definition in the standard.
_UNDEFINED = ("Neapolitan", "Italian", "French", "German", "pedal")


@dataclass(frozen=True, slots=True)
class KindDegree:
    """One ``<degree>``: its type (add, alter, subtract), its number, and its alteration."""

    type: str
    number: int
    alter: int


def chord_of_kind(
    root: Note,
    kind: str,
    changed: tuple[KindDegree, ...] = (),
    bass: Note | None = None,
    inversion: int = 0,
    text: str = "",
) -> Chord:
    """Return the chord that a harmony names.

    Parameters
    ----------
    root : Note
    kind : str
        A value of the standard's ``kind-value``, other than ``none``.
    changed : tuple of KindDegree
        In the order of the file.
    bass : Note, optional
    inversion : int
        Which degree is the bass, counted from the root as 0; a ``bass`` goes before it.
    text : str
        What is printed for the kind; it is read only for the kind ``other`` without degrees.

    Raises
    ------
    HarmonyError
        If the standard does not define the chord, or its degrees contradict each other.

    Examples
    --------
    >>> seven = KindDegree("add", 7, 0)
    >>> str(chord_of_kind(Note.parse("D"), "major", (seven,)))
    'D7'
    >>> flat_five = KindDegree("alter", 5, -1)
    >>> chord_of_kind(Note.parse("C"), "dominant", (flat_five,)).semitones
    (0, 4, 6, 10)
    """
    if kind == "other" and not changed:
        found = read_symbol(root.name + text).chord
        if found is None or not text:
            raise TuneError("a chord of the kind 'other', without details")
        return found.over(bass) if bass else found
    degrees = _change(_base(kind), changed)
    if inversion and bass is None:
        above = [degree for degree in degrees if degree.number != 1]
        if not 0 < inversion <= len(above):
            raise TuneError(f"an inversion {inversion} of {len(degrees)} notes")
        bass = above[inversion - 1].over(root)
    return Chord.build(root, degrees, bass)


def _base(kind: str) -> list[Degree]:
    if kind == "other":
        return [Degree(1)]
    if kind not in KIND_DEGREES:
        why = "the standard does not define it" if kind in _UNDEFINED else "unknown to the standard"
        raise TuneError(f"a chord of the kind {kind!r}: {why}")
    return [Degree.parse(part) for part in KIND_DEGREES[kind].split()]


def _change(degrees: list[Degree], changed: tuple[KindDegree, ...]) -> list[Degree]:
    for change in changed:
        if not 1 <= change.number <= 13:
            raise TuneError(f"a degree {change.number}")
        if abs(change.alter) > MOST_ALTER:
            raise TuneError(f"a degree altered by {str(change.alter)[:12]} semitones")
        here = [degree for degree in degrees if degree.number == change.number]
        if change.type == "add":
            degrees.append(_added(change))
        elif change.type == "alter" and here:
            spot = degrees.index(here[0])
            degrees[spot] = Degree(change.number, here[0].alter + change.alter)
        elif change.type == "alter":
            # Programs write "alter 9" for a seventh chord's flat ninth: it can only be added.
            degrees.append(_added(change))
        elif change.type == "subtract" and here:
            degrees.remove(here[0])
        else:
            raise TuneError(f"the chord has no degree {change.number} to {change.type}")
    return sorted(set(degrees))


def _added(change: KindDegree) -> Degree:
    """Return an added degree: a dominant chord's seventh is minor."""
    minor_seventh = -1 if change.number == 7 else 0
    return Degree(change.number, change.alter + minor_seventh)
