"""A part for everyone of one tune: six parts, each chord played alike wherever it stands.

Conventions.  The *one-finger part* has a tone of each chord on one string; *two strings* has its
third and its seventh, the root or the sixth where it has no seventh; *usual grips* are those that
the class knows, else the first of a chord book that a small hand can hold; *rich grips* add a ninth
or a sixth; the *bass* has roots, a fifth in the middle of a whole bar; who sings has the melody, or
a line of chord tones where the tune has none.  All but the added tones are of the chord itself.
Each line moves as little as it can over the whole tune (``theory.leading.tied``).
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

import numpy as np

from harmonykit.arrange.slots import melody_between
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.grips import known_grip
from harmonykit.fretboard.shapes.ranking import rank_shapes
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson.arranging import usual_shapes
from harmonykit.lesson.plan.shown import may_show
from harmonykit.lesson.together.rescue import rescue
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.guides import guide_degrees
from harmonykit.theory.leading.tied import cheapest
from harmonykit.tune.class_file import ClassFile
from harmonykit.tune.tune import Bar, BarChange, Tune
from harmonykit.values import dataclass, field, replace

ONE, TWO, USUAL, RICH, BASS, SING = (
    "One finger", "Two strings", "Usual grips", "Rich grips", "Bass", "Sing",
)  # fmt: skip
NAMES = (ONE, TWO, USUAL, RICH, BASS, SING)
BASS_GUITAR = "E1 A1 D2 G2"

# How high and how far apart two fingers may be, by turns until every chord is reached.
_REACHES = ((7, 3), (9, 4), (12, 5))
_HIGHEST, _HIGHEST_BASS = 5, 4
_STEP_COST, _ROUGH = 10, 3
_LONG_NOTE = Fraction(1)
# The chord that is richer and still the same chord, by its kind (common practice, no source).
_RICHER: Mapping[str, tuple[str, ...]] = {
    "": ("6", "add9"), "6": ("69",), "m": ("m7",), "m7": ("m9",), "m6": ("m69",), "7": ("9", "13"),
    "maj7": ("maj9",), "dim": ("dim7",),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Part:
    """What one group of a class plays.

    Parameters
    ----------
    name : str
        Of ``NAMES``.
    about : str
        What it asks, in a few words.
    instrument : Instrument
    shapes : mapping of Chord to Voicing
        How each chord of the tune is played; of a bass its first note.  Empty for who sings.
    names : mapping of Chord to str
        The chord's name in this part.
    rescues : mapping of Chord to Voicing
        The easier grip that may stand for a hard one.
    fifths : mapping of Chord to Voicing
        Of a bass: what it plays in the middle of a whole bar, of chords that have one.
    line : mapping of Chord to Note
        Of who sings, where the tune has no melody.
    """

    name: str
    about: str
    instrument: Instrument
    shapes: Mapping[Chord, Voicing]
    names: Mapping[Chord, str]
    rescues: Mapping[Chord, Voicing] = field(default_factory=dict)
    fifths: Mapping[Chord, Voicing] = field(default_factory=dict)
    line: Mapping[Chord, Note] = field(default_factory=dict)

    @property
    def strings(self) -> tuple[int, ...]:
        """The strings that it plays, in string order."""
        shapes = [*self.shapes.values(), *self.fifths.values()]
        return tuple(
            string
            for string in range(len(self.instrument.midi))
            if any(shape.frets[string] is not None for shape in shapes)
        )

    def struck(self, bar: Bar, change: BarChange) -> Iterator[tuple[Fraction, Voicing]]:
        """Yield what is struck for a chord of a bar, and where in it: a bass has a fifth, too."""
        if change.chord is None or change.chord not in self.shapes:
            return
        yield change.at, self.shapes[change.chord]
        fifth = self.fifths.get(change.chord)
        if fifth is not None and change.beats == bar.length and bar.meter[0] % 2 == 0:
            yield bar.length / 2, fifth

    def sounds(self, chord: Chord, bar: Bar | None = None) -> frozenset[int]:
        """Return the pitch classes that it sounds with a chord of the tune, anywhere or in a bar.

        What it plays in the middle of a bar of one chord sounds in no other.
        """
        if chord in self.line:
            return frozenset({self.line[chord].pitch_class})
        shapes = [each[chord] for each in (self.shapes, self.fifths) if chord in each]
        if bar is not None:
            own = (change for change in bar.changes if change.chord == chord)
            struck = [shape for one in own for _, shape in self.struck(bar, one)]
            shapes = struck or shapes[:1]
        return frozenset(pc for shape in shapes for pc in shape.pcs)


def parts_of(
    tune: Tune, instrument: Instrument, knows: ClassFile | None = None
) -> tuple[Part, ...]:
    """Return the six parts of a tune, in the order of ``NAMES``.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    knows : ClassFile, optional
        What the class knows, and how high it sings.

    Raises
    ------
    HarmonyError
        If no chord sounds, or one has no grip on the instrument.
    """
    chords = tune.chords
    if not chords:
        raise HarmonyError(f"{tune.title!r} has no chord", rule="a part plays the chords of a tune")
    usual = _usual(tune, instrument, chords, knows)
    rich = _rich(tune, instrument, chords, usual)
    bass = Instrument.parse(BASS_GUITAR, "bass guitar")
    low, high = (knows.lowest, knows.highest) if knows else (Note.parse("A3"), Note.parse("C5"))
    names = {chord: chord.unicode for chord in chords}
    own = [chord for chord in chords if not (knows and knows.knows(usual[chord]))]
    hard = {chord: found for chord in own if (found := rescue(chord, usual[chord]))}
    one, two = _one_finger(tune, instrument), _two_strings(tune, instrument)
    line = {} if tune.melody else _line(tune, low, high)
    roots, fifths = _bass(chords, bass)
    rich_shapes = {chord: shape for chord, (_, shape) in rich.items()}
    rich_names = {chord: name for chord, (name, _) in rich.items()}
    third = "third and seventh or sixth; in triads third and root"
    richer = "the same chords, with one more tone where it fits"
    bass_part = Part(BASS, "roots", bass, roots, names, fifths=fifths)
    played = {
        one.chord: fifths[one.chord]
        for bar in tune.bars
        for one in bar.changes
        if one.chord is not None and len([*bass_part.struck(bar, one)]) > 1
    }
    about = "roots; fifths at mid-bar in bars of one chord" if played else "roots"
    bass_part = replace(bass_part, about=about, fifths=played)
    sung = f"{'the melody' if tune.melody else 'a line of chord tones'}, leading tones ringed"
    eased = "rescue: the easier grip below" if hard else "the grips of a chord book"
    return (
        Part(ONE, "one finger on one string", instrument, one, names),
        Part(TWO, third, instrument, two, names),
        Part(USUAL, eased, instrument, usual, names, hard),
        Part(RICH, richer, instrument, rich_shapes, rich_names),
        bass_part,
        Part(SING, sung, instrument, {}, names, line=line),
    )


def _usual(
    tune: Tune, instrument: Instrument, chords: Sequence[Chord], knows: ClassFile | None
) -> dict[Chord, Voicing]:
    found = {chord: shapes[0] for chord, shapes in _first_shapes(tune, instrument).items()}
    for chord in chords:
        known = known_grip(chord, knows.grips_on(instrument)) if knows else None
        if known is not None:
            found[chord] = known
        elif chord not in found:
            raise HarmonyError(
                f"{chord.unicode} has no grip on the {instrument.name}",
                rule="every chord of the tune needs one",
                mend="another instrument, or a simpler chord in the tune",
            )
    return found


def _first_shapes(tune: Tune, instrument: Instrument) -> Mapping[Chord, tuple[Voicing, ...]]:
    return usual_shapes(tune, instrument, limits_at(1, instrument))


def _rich(
    tune: Tune, instrument: Instrument, chords: Sequence[Chord], usual: Mapping[Chord, Voicing]
) -> dict[Chord, tuple[str, Voicing]]:
    """Return for each chord a richer one with its grip; the usual one where none fits.

    What is added may not lie a half step from a long note of the melody over that chord.  Chords of
    one root in a row, C – Cmaj7 – C7, have a line in one voice, and stay as they are written.
    """
    sung, lined = _sung_over(tune), _in_lines(tune)
    hand = limits_at(2, instrument)
    found = {}
    for chord in chords:
        found[chord] = (chord.unicode, usual[chord])
        kind = chord.symbol.removeprefix(chord.root.name)
        for suffix in () if chord in lined else _RICHER.get(kind, ()):
            richer = Chord.parse(chord.root.name + suffix)
            added = set(richer.pcs) - set(chord.pcs)
            clash = any((a - b) % 12 in (1, 11) for a in added for b in sung[chord])
            shapes = [s for s in rank_shapes(richer, instrument)[:12] if may_show(s, richer)]
            held = (s for s in shapes if can_hold(s.frets, instrument, hand) and added & set(s.pcs))
            if not clash and (shape := next(held, None)) is not None:
                found[chord] = (richer.unicode, shape)
                break
    return found


def _in_lines(tune: Tune) -> frozenset[Chord]:
    """Return the chords that follow another of their root, or are followed by one."""
    sounding = [change.chord for change in tune.changes if change.chord is not None]
    pairs = (pair for pair in pairwise(sounding) if pair[0] != pair[1])
    return frozenset(chord for pair in pairs if pair[0].root == pair[1].root for chord in pair)


def _sung_over(tune: Tune) -> Mapping[Chord, set[int]]:
    """Return the pitch classes of the melody's long notes over each chord."""
    found: dict[Chord, set[int]] = {chord: set() for chord in tune.chords}
    for change in tune.changes:
        start, end = change.onset, change.onset + change.beats
        for note in melody_between(tune.melody, start, end):
            over = min(end, note.onset + note.beats) - max(start, note.onset)
            if change.chord is not None and over >= min(_LONG_NOTE, note.beats):
                found[change.chord].add(note.note.pitch_class)
    return found


Choice = tuple[int, ...]


def _chosen(
    tune: Tune, choices: Mapping[Chord, Sequence[Choice]], own: Callable[[Chord, Choice], int]
) -> tuple[int, dict[Chord, Choice]]:
    """Return what each chord takes so that all moves together are the least, and their cost."""
    chords = list(choices)
    places = {chord: place for place, chord in enumerate(chords)}
    order = [places[c.chord] for c in tune.changes if c.chord is not None]
    moves = Counter(pair for pair in pairwise(order) if pair[0] != pair[1])
    costs = [np.array([own(c, one) for one in choices[c]], dtype=np.int64) for c in chords]
    changes = {
        (a, b): np.array(
            [
                [_STEP_COST * times * _far(one, other) for other in choices[chords[b]]]
                for one in choices[chords[a]]
            ],
            dtype=np.int64,
        )
        for (a, b), times in moves.items()
    }
    picked = cheapest(costs, changes)
    total = sum(int(cost[n]) for cost, n in zip(costs, picked, strict=True))
    total += sum(int(table[picked[a], picked[b]]) for (a, b), table in changes.items())
    return total, {chord: choices[chord][n] for chord, n in zip(chords, picked, strict=True)}


def _far(one: Choice, other: Choice) -> int:
    return sum(abs(a - b) for a, b in zip(one, other, strict=True))


def _one_finger(tune: Tune, instrument: Instrument) -> dict[Chord, Voicing]:
    """Return a tone of each chord on one string, the string on which the finger moves least.

    Higher than ``_HIGHEST`` only where no string has a tone of every chord below: all twelve notes
    lie below fret 12.
    """
    found: list[tuple[int, int, dict[Chord, Choice]]] = []
    highest = _HIGHEST
    while not found:
        for string, pitch in enumerate(instrument.midi):
            choices = {
                chord: [(f,) for f in range(highest + 1) if (pitch + f) % 12 in set(chord.pcs)]
                for chord in tune.chords
            }
            if all(choices.values()):
                cost, picked = _chosen(tune, choices, lambda _, one: one[0])
                found.append((cost, string, picked))
        highest += 1
    _, string, picked = min(found, key=lambda one: one[:2])
    return {chord: _on(instrument, {string: one[0]}) for chord, one in picked.items()}


def _two_strings(tune: Tune, instrument: Instrument) -> dict[Chord, Voicing]:
    """Return the two tones that tell each chord, on the neighbouring strings that move least.

    High on the neck or far apart only where nothing else reaches every chord.
    """
    for reach in _REACHES:
        found = []
        for low in range(len(instrument.midi) - 1):
            pair = instrument.midi[low], instrument.midi[low + 1]
            choices = {chord: list(_guides(chord, pair, reach)) for chord in tune.chords}
            if all(choices.values()):
                cost, picked = _chosen(tune, choices, _work_of_two)
                found.append((cost, -low, picked))
        if found:
            _, low, picked = min(found, key=lambda one: one[:2])
            strings = -low, -low + 1
            return {
                chord: _on(instrument, dict(zip(strings, frets, strict=True)))
                for chord, frets in picked.items()
            }
    raise HarmonyError(
        f"{tune.title!r} cannot be played on two strings of the {instrument.name}",
        rule=f"two tones of each chord on two adjacent strings, up to fret {_REACHES[-1][0]}",
    )


def _work_of_two(_: Chord, frets: Choice) -> int:
    return 2 * max(frets) + abs(frets[0] - frets[1])


def guide_pcs(chord: Chord) -> frozenset[int]:
    """Return the two pitch classes that tell a chord: third and seventh, sixth, or root.

    A chord without a third has root and fifth.
    """
    root = chord.root.pitch_class
    third, seventh = guide_degrees(chord)
    found = [(root + d.pitch_class) % 12 for d in (third, seventh) if d is not None]
    rest = [root, *((root + degree.pitch_class) % 12 for degree in chord.degrees)]
    return frozenset(list(dict.fromkeys([*found, *rest]))[:2])


def _guides(chord: Chord, pair: tuple[int, int], reach: tuple[int, int]) -> Iterator[Choice]:
    wanted, (highest, widest) = guide_pcs(chord), reach
    for one in range(highest + 1):
        for other in range(highest + 1):
            near = not one or not other or abs(one - other) <= widest
            if near and {(pair[0] + one) % 12, (pair[1] + other) % 12} == wanted:
                yield one, other


def _on(instrument: Instrument, frets: Mapping[int, int]) -> Voicing:
    return Voicing(instrument, tuple(frets.get(s) for s in range(len(instrument.midi))))


def _bass(
    chords: Sequence[Chord], bass: Instrument
) -> tuple[dict[Chord, Voicing], dict[Chord, Voicing]]:
    roots = {chord: _lowest(bass, chord.bass.pitch_class) for chord in chords}
    fifths = {}
    for chord in chords:
        fifth = next((d for d in chord.degrees if d.number == 5), None)
        if fifth is not None:
            fifths[chord] = _lowest(bass, (chord.root.pitch_class + fifth.pitch_class) % 12)
    return roots, fifths


def _lowest(bass: Instrument, pitch_class: int) -> Voicing:
    """Return the lowest place of a note on a bass in first position."""
    places = [
        (pitch + fret, string, fret)
        for string, pitch in enumerate(bass.midi)
        for fret in range(_HIGHEST_BASS + 1)
        if (pitch + fret) % 12 == pitch_class
    ]
    _, string, fret = min(places)
    return _on(bass, {string: fret})


def _line(tune: Tune, low: Note, high: Note) -> dict[Chord, Note]:
    """Return a note of each chord within a range, so that the line moves least.

    A chord that has no note there is sung as little outside as can be.
    """
    middle = (low.midi + high.midi) // 2
    choices = {chord: _singable(chord, low.midi, high.midi) for chord in tune.chords}

    def own(chord: Chord, one: Choice) -> int:
        told = one[0] % 12 in guide_pcs(chord)
        return 3 * abs(one[0] - middle) + (0 if told else _ROUGH * _STEP_COST)

    _, picked = _chosen(tune, choices, own)
    return {chord: chord.spell(one[0] % 12).at_pitch(one[0]) for chord, one in picked.items()}


def _singable(chord: Chord, low: int, high: int) -> list[Choice]:
    found: list[Choice] = [(m,) for m in range(low, high + 1) if m % 12 in set(chord.pcs)]
    return found or _singable(chord, low - 1, high + 1)
