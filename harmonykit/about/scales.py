"""The scales to play over a chord: those on its root that hold its notes, and what to avoid.

The rules are common practice, no source but those named.  A scale of seven notes spells the tones
as the chord does; only a major third with a minor seventh, or with a diminished fifth, is matched
by sound alone, since the ♯5 of C7♯5 is the ♭13 of the altered scale, and so is that of C+ over
scales with a minor seventh.  A plain fifth gives way to a ♯9 or a ♭13.  A 13 over a major third is
taken as it is played, without its eleventh (Wikipedia, "Thirteenth"), which is then a note to
avoid.  An eight-note bebop scale adds a passing note to a parent scale; it goes with chords of that
parent alone.
"""

from dataclasses import dataclass, replace

from harmonykit.fretboard.shapes.tones import unwanted
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.modes import SCALES, Scale, avoid_notes
from harmonykit.theory.note import Note
from harmonykit.theory.typed import Told

_SEVEN = 7
_FIFTH = Degree(5)
_AUGMENTED = {0, 4, 8}
# Of a bebop scale: its parent, and what a chord must hold, in semitones above the root.
_MADE_FOR = {
    "bebop dominant": ("mixolydian", {10}),
    "bebop major": ("major", {4}),
    "bebop dorian": ("dorian", {3, 10}),
    "bebop melodic minor": ("melodic minor", {3}),
    "bebop harmonic minor": ("harmonic minor", {3, 11}),
}


@dataclass(frozen=True, slots=True, repr=False)
class ChordScale(Told):
    """A scale on a chord's root that holds its notes, and the notes of it to avoid.

    Parameters
    ----------
    scale : Scale
    avoid : tuple of Note
        A semitone above a tone of the chord: they clash when held.  The ♭9 of a dominant does not.
    """

    scale: Scale
    avoid: tuple[Note, ...]

    def __str__(self) -> str:
        avoid = " ".join(note.unicode for note in self.avoid)
        return f"{self.scale.title} (avoid {avoid})" if avoid else self.scale.title


def chord_scales(chord: Chord) -> tuple[ChordScale, ...]:
    """Return the scales on a chord's root that hold it, each with the notes to avoid.

    They are in the table's order, but a ♯9 puts the altered scale first, and an altered fifth with
    plain ninths the whole-tone scale, as an augmented triad does.  Scales without the chord's plain
    fifth come last.

    Examples
    --------
    >>> [str(one) for one in chord_scales(Chord.parse("C7#9"))]
    ['C altered', 'C octatonic half-whole']
    >>> [str(one) for one in chord_scales(Chord.parse("C13"))][:2]
    ['C mixolydian (avoid F)', 'C lydian dominant']
    >>> [str(one) for one in chord_scales(Chord.parse("C7b5"))][:2]
    ['C whole tone', 'C lydian dominant (avoid G)']
    """
    chord = as_played(chord)
    spared = _without_fifth(chord)
    usual, whole, short = _usual(chord), [], []
    for name in SCALES:
        scale = Scale(chord.root, name)
        if _fits(scale, chord):
            whole.append(_told(scale, chord))
        elif spared is not None and len(scale.degrees) < 8 and _fits(scale, spared):
            short.append(_told(scale, spared))
    return tuple(sorted((*whole, *short), key=lambda one: one.scale.name != usual))


def as_played(chord: Chord) -> Chord:
    """Return a chord without the tones that a player never sounds.

    Examples
    --------
    >>> as_played(Chord.parse("C13")), as_played(Chord.parse("Cm13"))
    (Chord.parse('C13no11'), Chord.parse('Cm13'))
    """
    never = unwanted(chord)
    played = [degree for degree in chord.degrees if degree.pitch_class not in never]
    return replace(chord, degrees=tuple(played)) if never else chord


def _told(scale: Scale, chord: Chord) -> ChordScale:
    avoid = avoid_notes(scale, chord)
    if {4, 10} <= _heard(chord):
        flat_ninth = (chord.root.pitch_class + 1) % 12
        avoid = tuple(note for note in avoid if note.pitch_class != flat_ninth)
    return ChordScale(scale, avoid)


def _heard(chord: Chord) -> set[int]:
    """Return all that sounds, in semitones above the root."""
    return {(pc - chord.root.pitch_class) % 12 for pc in chord.pcs}


def _usual(chord: Chord) -> str:
    heard = _heard(chord)
    if heard == _AUGMENTED:
        return "whole tone"
    if not {4, 10} <= heard:
        return ""
    if 3 in heard:
        return "altered"
    fifth = any(degree.number == 5 and degree.alter for degree in chord.degrees)
    return "whole tone" if fifth and 1 not in heard else ""


def _without_fifth(chord: Chord) -> Chord | None:
    """Return a dominant without the plain fifth that gives way to a ♯9 or a ♭13."""
    heard = _heard(chord)
    if not {4, 10} <= heard or not {3, 8} & heard or _FIFTH not in chord.degrees:
        return None
    rest = [degree for degree in chord.degrees if degree != _FIFTH]
    bass = None if chord.bass == _FIFTH.over(chord.root) else chord.bass
    return Chord.build(chord.root, rest, bass)


def _fits(scale: Scale, chord: Chord) -> bool:
    if not chord.pcs <= scale.pcs:
        return False
    heard = _heard(chord)
    if scale.name in _MADE_FOR:
        parent, core = _MADE_FOR[scale.name]
        return core <= heard and chord.pcs <= Scale(chord.root, parent).pcs
    by_sound = 4 in heard and bool({6, 10} & heard)
    if heard == _AUGMENTED:
        by_sound = (chord.root.pitch_class + 10) % 12 in scale.pcs
    names = {note.name for note in chord.tones}
    spelled = names <= {note.name for note in scale.notes}
    return len(scale.degrees) != _SEVEN or by_sound or spelled
