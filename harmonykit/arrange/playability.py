"""How hard a tune is to play, as a number with its parts; and how odd a shape is, by rule.

A song's number is a sum of five features, with weights that were fitted to ratings of how hard the
chords of songs are on the guitar (``evidence.weights``), which go from 1 to 34; harder is higher.
The features:

- ``variety``: how many shapes there are, as the entropy of the time that each is held, in bits,
- ``kinds``: how many kinds of chord there are,
- ``uncommon``: the share of the time on other chords than triads, 7 and m7 over their root,
- ``rate``: changes a second, as a logarithm to the base 2,
- ``hand``: what the shapes ask of the hand, by rule (fingers, barres, stretch, height on the neck,
  strings to be kept silent, open strings beside high frets: ``marks``), the mean over time, in
  marks.

The weights say what one guitar's songs said.  On other instruments the song's features count the
same, and ``hand`` by the same rule; what a single stretch or barre costs, 96 songs cannot tell.

A shape's number is by rule alone: the marks against it as a shape of its chord (``marks``), and for
a barre over more than two strings what each string more asks of the index.  (Common practice, no
source: the first full barre is harder than any open shape of three fingers.)
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby

from harmonykit.arrange.arrangement import Arrangement, Tune
from harmonykit.errors import HarmonyError
from harmonykit.evidence.weights import read_model
from harmonykit.fretboard.hands.hand import Limits, as_limits
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.marks import judge
from harmonykit.fretboard.shapes.ranking import candidates, name_of
from harmonykit.fretboard.shapes.voicing import Instrument, InstrumentLike, Voicing, as_instrument
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.given import ChordLike, as_chord
from harmonykit.values import dataclass

Held = tuple[Chord, Voicing, float]
"""A chord, the shape that plays it, and for how long, in any unit."""

BY_RATINGS = "fitted to ratings of 96 songs on the guitar"
BY_RULE = "by rule"
SAID_OF_PARTS = {
    "variety": "for variety of shapes",
    "kinds": "for kinds of chord",
    "uncommon": "for uncommon chords",
    "rate": "for the rate of changes",
    "hand": "for the work of the hand",
}
"""What the points of each part of a song's number are for."""
_COMMON = frozenset(((0, 4, 7), (0, 3, 7), (0, 4, 7, 10), (0, 3, 7, 10)))
_UNDER_A_BARRE = 0.4
# Slower changes, or none at all, count as one in sixteen seconds.
_SLOWEST = 1 / 16


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a number.

    Parameters
    ----------
    name, unit : str
    value : float
        The feature, in its unit.
    points : float
        What it adds to the number.
    """

    name: str
    unit: str
    value: float
    points: float

    def __str__(self) -> str:
        return f"{self.name} {self.value:.2g} {self.unit}: {self.points:+.1f}"


@dataclass(frozen=True, slots=True, repr=False)
class Playability:
    """How hard something is to play: a number, harder is higher, and its parts.

    Parameters
    ----------
    number : float
    parts : tuple of Part
    basis : str
        What the number rests on: ratings, or a rule.

    Examples
    --------
    >>> found = hk.playability(hk.Voicing.parse("0003", "ukulele"), chord="C")
    >>> found.basis, [part.name for part in found.parts], found["barre"].points
    ('by rule', ['tones', 'strings', 'hand', 'barre'], 0.0)
    """

    number: float
    parts: tuple[Part, ...]
    basis: str

    def __getitem__(self, name: str) -> Part:
        return next(part for part in self.parts if part.name == name)

    def __str__(self) -> str:
        return f"{self.number:.1f} ({self.basis}; {'; '.join(map(str, self.parts))})"

    def __repr__(self) -> str:
        return f"<playability {self.number:.1f}, {self.basis}>"


_DIGITS = re.compile(r"[0-9xX]{3,10}|[0-9xX]{1,2}(?:-[0-9xX]{1,2}){2,9}")


def playability(
    what: TuneLike | Arrangement | Voicing,
    instrument: InstrumentLike = "ukulele",
    limits: Limits | None = None,
    chord: ChordLike | None = None,
) -> Playability:
    """Return how hard a tune, an arrangement or a shape is to play; harder is higher.

    Parameters
    ----------
    what : Tune, str, Path, Arrangement or Voicing
        A tune, or its file or name, is played with the first usual shape of each chord; an
        arrangement with its own shapes.
    instrument : Instrument or str
        For a tune.
    limits : Limits, optional
        The hand, for a tune: shapes within them come first.
    chord : Chord or str, optional
        What a shape is a shape of; its likeliest name where not given.

    Returns
    -------
    Playability
        ``number``, ``parts``, and ``basis``: a tune's and an arrangement's number rests on
        ratings, that of a shape on a rule.

    Raises
    ------
    HarmonyError
        If no chord sounds, or a chord has no shape on the instrument.

    Examples
    --------
    >>> found = hk.playability("slack_water_waltz", "ukulele")
    >>> found.basis
    'fitted to ratings of 96 songs on the guitar'
    >>> [part.name for part in found.parts]
    ['variety', 'kinds', 'uncommon', 'rate', 'hand']
    >>> usual, odd = (hk.Voicing.parse(text, "guitar") for text in ("x32010", "xx5010"))
    >>> hk.playability(usual, chord="C").number < hk.playability(odd, chord="C").number
    True
    """
    if isinstance(what, Voicing):
        return _of_shape(what, None if chord is None else as_chord(chord))
    if isinstance(what, Arrangement):
        steps = [
            (step.chord, step.voicing, float(step.beats))
            for step in what.steps
            if step.chord is not None and step.voicing is not None
        ]
        return of_steps(steps, _seconds(what.tune, what.tempo))
    if isinstance(what, str) and _DIGITS.fullmatch(what):
        name = instrument if isinstance(instrument, str) else "ukulele"
        raise HarmonyError(
            f"{what!r} looks like a shape, not a tune",
            rule="a tune as text, or a shape made with hk.Voicing.parse",
            mend=f'hk.Voicing.parse("{what}", "{name}")',
        )  # fmt: skip
    tune = as_tune(what)
    limits = None if limits is None else as_limits(limits, limits)
    return of_steps(_usual_steps(tune, as_instrument(instrument), limits), _seconds(tune))


def open_share(tune: TuneLike, instrument: InstrumentLike, limits: Limits | None = None) -> float:
    """Return how much of a tune is played on shapes with an open string, in percent of its time.

    Each chord has its first usual shape, as in ``playability``.

    Examples
    --------
    >>> from harmonykit.tune.tune import Tune
    >>> [round(open_share(Tune.parse(text), "ukulele")) for text in ("| C | F |", "| Db | Gb |")]
    [100, 0]
    """
    steps = _usual_steps(as_tune(tune), as_instrument(instrument), limits)
    open_ = sum(time for _, shape, time in steps if 0 in shape.frets)
    return 100 * open_ / (sum(time for *_, time in steps) or 1)


def of_steps(steps: Sequence[Held], seconds: float) -> Playability:
    """Return how hard a row of shapes is that takes so many seconds in all."""
    model, values = read_model("playability"), song_features(steps, seconds)
    parts = tuple(
        Part(weight.name, weight.unit, value, weight.value * value)
        for weight, value in zip(model.weights, values, strict=True)
    )
    return Playability(model.base + sum(part.points for part in parts), parts, BY_RATINGS)


def song_features(steps: Sequence[Held], seconds: float) -> tuple[float, ...]:
    """Return variety, kinds, uncommon, rate and hand of a row of shapes.

    Raises
    ------
    HarmonyError
        If no chord sounds.

    Examples
    --------
    >>> c, f = (Chord.parse(name) for name in "CF")
    >>> row = [(c, Voicing.parse("0003", "ukulele"), 4), (f, Voicing.parse("2010", "ukulele"), 4)]
    >>> [round(value, 2) for value in song_features(row, seconds=4)]
    [1.0, 1, 0.0, -2.0, 1.92]
    """
    if not steps:
        raise HarmonyError("no chord sounds", rule="a tune is rated by the shapes of its chords")
    total = sum(time for *_, time in steps)
    times: Counter[Voicing] = Counter()
    for _, shape, time in steps:
        times[shape] += time  # type: ignore[assignment]
    shares = [time / total for time in times.values()]
    uncommon = sum(time for chord, _, time in steps if not _is_common(chord))
    changes = len([shape for shape, _ in groupby(shape for _, shape, _ in steps)]) - 1
    marks = {held: _of_the_hand(*held) for held in {(chord, shape) for chord, shape, _ in steps}}
    hand = sum(time * marks[chord, shape] for chord, shape, time in steps)
    return (
        -sum(share * math.log2(share) for share in shares),
        len({chord.semitones for chord, *_ in steps}),
        uncommon / total,
        math.log2(max(changes / seconds, _SLOWEST)),
        hand / total,
    )


def _of_the_hand(chord: Chord, shape: Voicing) -> float:
    """Return the marks against a shape for its strings and for what fingers do."""
    _, strings, fingers = judge(chord, shape.instrument).parts(shape.frets)
    return strings + fingers


def _is_common(chord: Chord) -> bool:
    return chord.semitones in _COMMON and chord.bass == chord.root


def _usual_steps(tune: Tune, neck: Instrument, limits: Limits | None) -> list[Held]:
    """Return a tune's chords, each with its first usual shape."""
    shapes: dict[Chord, Voicing] = {}
    steps = []
    for change in tune.changes:
        if change.chord is not None:
            if change.chord not in shapes:
                shapes[change.chord] = first_shape(change.chord, neck, limits)
            steps.append((change.chord, shapes[change.chord], float(change.beats)))
    return steps


@lru_cache(maxsize=512)
def first_shape(chord: Chord, instrument: Instrument, limits: Limits | None = None) -> Voicing:
    """Return the most usual shape of a chord, within limits where there is one.

    Raises
    ------
    HarmonyError
        If it has none on the instrument.

    Examples
    --------
    >>> first_shape(Chord.parse("G7"), Instrument.named("ukulele")).digits
    '0-2-1-2'
    """
    for hand in filter(None, (limits, Limits())):
        if found := find_voicings(chord, instrument, hand.max_fret, limits=hand):
            return found[0]
    for shape in candidates(chord, instrument):
        return shape
    raise HarmonyError(
        f"{chord.symbol} has no shape on {instrument.name}",
        rule="four fingers must hold the shape",
        mend="a simpler chord, or another instrument",
    )


def _seconds(tune: Tune, tempo: float | None = None) -> float:
    return float(tune.length) * 60 / (tempo or tune.tempo)


def _of_the_barre(shape: Voicing) -> float:
    """Return the marks for the strings under a barre, but for two that a fingertip holds."""
    fingering = shape.fingering
    barres = () if fingering is None else fingering.barres
    return _UNDER_A_BARRE * sum(max(0, barre.width - 2) for barre in barres)


def _of_shape(shape: Voicing, chord: Chord | None) -> Playability:
    named = chord or name_of(shape, Chord.of("C"))
    if named is None:
        raise HarmonyError(f"{shape.digits} has no name", mend='name its chord: chord="C7"')
    names = ("tones", "strings", "hand", "barre")
    marks = *judge(named, shape.instrument).parts(shape.frets), _of_the_barre(shape)
    parts = tuple(Part(name, "marks", mark, mark) for name, mark in zip(names, marks, strict=True))
    return Playability(sum(marks), parts, BY_RULE)
