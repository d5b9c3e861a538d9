"""Whether the parts of a tune fit together, bar by bar; and in which key a class sings it best.

Conventions.  Notes that belong to the chord of the tune never clash.  Of others each pair a half
step apart counts; one such pair is heard as colour, more are not (``arrange.together``).
"""

from collections.abc import Iterator, Sequence
from itertools import combinations

from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.arrange.functions import bars_said
from harmonykit.arrange.together import MOST_PAIRS
from harmonykit.arrange.written import printed_numbers, tune_numbers
from harmonykit.errors import attempt
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.grips import known_grip
from harmonykit.fretboard.shapes.ranking import rank_shapes
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.together.parts import Part
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.class_file import ClassFile
from harmonykit.values import dataclass

HIGHEST_CAPO = 5
_EASY = 2


def pairs_beside(one: frozenset[int], other: frozenset[int], chord: Chord) -> int:
    """Return how many notes of two parts lie a half step apart and are not both of the chord.

    Parameters
    ----------
    one, other : frozenset of int
        What the parts sound, as pitch classes.
    chord : Chord
        What the tune has there.

    Examples
    --------
    >>> c, bdim = frozenset({0, 4, 7}), frozenset({11, 2, 5, 8})
    >>> pairs_beside(c, bdim, Chord.parse("C")), pairs_beside(c, c, Chord.parse("C"))
    (3, 0)
    """
    tones = set(chord.pcs)
    return sum(
        (a - b) % 12 in (1, 11) and not {a, b} <= tones for a in one - other for b in other - one
    )


def said_fit(parts: Sequence[Part], tune: Tune) -> tuple[str, ...]:
    """Return in words which parts sound together, two by two: all, or where they take turns."""
    said = []
    numbers = tune_numbers(tune)
    played = list(_chords_by_bar(tune))
    for one, other in combinations(parts, 2):
        bars = [
            numbers[bar][0]
            for bar, chord in played
            for here in [tune.playing[bar].bar]
            if pairs_beside(one.sounds(chord, here), other.sounds(chord, here), chord) > MOST_PAIRS
        ]
        if bars:
            where = bars_said(tuple(dict.fromkeys(bars)))
            said.append(f"{one.name} and {other.name} clash in {where}; take turns there.")
    if not said:
        eased = ", with the rescues too" if any(part.rescues for part in parts) else ""
        return (f"All together in every bar{eased}.",)
    return (*said, "The others: all together.")


def _chords_by_bar(tune: Tune) -> Iterator[tuple[int, Chord]]:
    """Yield each bar in playing order, from 0, with each chord that sounds in it."""
    for change in tune.changes:
        for bar, place in enumerate(tune.playing):
            end = place.onset + place.bar.length
            if change.chord and change.onset < end and place.onset < change.onset + change.beats:
                yield bar, change.chord


def said_beside(parts: Sequence[Part], levels: Sequence[Arrangement]) -> Iterator[str]:
    """Yield for each level with which parts of its tune it sounds, bar by bar."""
    for way in levels:
        wrong: dict[str, list[int]] = {}
        numbers = printed_numbers(way)
        for step in way.steps:
            if step.chord is None or step.voicing is None or step.written is None:
                continue
            here, theirs = way.tune.playing[step.bar].bar, frozenset(step.voicing.pcs)
            for part in parts:
                ours = part.sounds(step.written, here)
                if pairs_beside(ours, theirs, step.written) > MOST_PAIRS:
                    wrong.setdefault(part.name, []).append(numbers[step.bar][0])
        if not wrong:
            yield f"{way.name}: together with every part."
            continue
        turns = (f"{name} in {bars_said(tuple(dict.fromkeys(b)))}" for name, b in wrong.items())
        yield f"{way.name}: clashes with {'; '.join(turns)}; take turns there."


@dataclass(frozen=True, slots=True)
class KeyChoice:
    """A key in which a class may sing a tune, and how it is played there.

    Parameters
    ----------
    sounds, played : Key
        What is heard, and what the hands play, below the capo.
    capo : int
        Its fret; 0 for none.
    known, chords : int
        How many chords of the tune have a grip that is known, of how many.
    outside : int or None
        How far the melody goes beyond what the class sings, in semitones; None without a melody.
    lowest, highest : int or None
        The melody in that key, in the octave that fits best, as MIDI numbers.
    """

    sounds: Key
    played: Key
    capo: int
    known: int
    chords: int
    outside: int | None
    lowest: int | None = None
    highest: int | None = None


def key_choices(
    tune: Tune, instrument: Instrument, knows: ClassFile | None = None
) -> tuple[KeyChoice, ...]:
    """Return the twelve keys of a tune, those with the most known grips first, then by range.

    Without a class a grip counts as known of two fingers, without a barre.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    knows : ClassFile, optional
    """
    own = tune.key.tonic.pitch_class
    grips = knows.grips_on(instrument) if knows else ()
    moved = {way: tune.transpose_by(way) if way else tune for way in range(-5, 7)}
    count = {}
    for other in moved.values():
        chords = other.chords
        known = sum(
            known_grip(c, grips) is not None if knows else _easy(c, instrument) for c in chords
        )
        count[other.key.tonic.pitch_class] = (known, other.key, len(chords))
    found = []
    for way, other in moved.items():
        heard = other.key.tonic.pitch_class
        choices = [(count[(heard - capo) % 12], capo) for capo in range(HIGHEST_CAPO + 1)]
        (known, played, needed), capo = max(choices, key=lambda one: (one[0][0], -one[1]))
        outside, low, high = _outside(other, knows)
        best = KeyChoice(other.key, played, capo, known, needed, outside, low, high)
        found.append((-known, outside or 0, capo, abs(way), (heard - own) % 12, best))
    return tuple(one[-1] for one in sorted(found, key=lambda one: one[:-1]))


def _easy(chord: Chord, instrument: Instrument) -> bool:
    """Whether a chord has a grip of two fingers at most, without a barre, low on the neck."""
    hand = limits_at(1, instrument)
    shapes = attempt(rank_shapes, chord, instrument) or ()
    held = (fit(shape.frets, instrument, hand) for shape in shapes[:3])
    return any(h and not h.barres and sum(map(bool, h.fingers)) <= _EASY for h in held)


def _outside(tune: Tune, knows: ClassFile | None) -> tuple[int | None, int | None, int | None]:
    """Return how far a melody is out of range in its best octave, and its two ends there."""
    pitches = [sung.note.midi for sung in tune.melody]
    if not pitches:
        return None, None, None
    ours = knows or ClassFile("", (), ())
    low, high = ours.lowest.midi, ours.highest.midi
    choices = []
    for octave in (0, -12, 12, -24, 24):
        ends = min(pitches) + octave, max(pitches) + octave
        choices.append((max(0, low - ends[0]) + max(0, ends[1] - high), abs(octave), ends))
    outside, _, ends = min(choices)
    return outside, *ends
