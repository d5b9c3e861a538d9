"""What an arranger compares: one row of numbers for each arrangement, each with its unit.

Conventions.  A *change* is a moment at which the hand takes another shape than it held just before;
a chord synonym over the same shape is none.  Across a silence (N.C.) no voice leads on and no
hand is hurried: voice leading, top line, travel and strings are counted between shapes that follow
each other without a gap.  Voice leading is the least number of semitones between all sounding
notes of one shape and all of the next.  Lengths are in mm, tempo in quarter notes a minute.
Travel adds up each change in whole millimetres, as the searches do, so that there is one number.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import chain, groupby, pairwise, repeat
from typing import TYPE_CHECKING, Any

from harmonykit.arrange.arrangement import Arrangement, Step, as_arrangement
from harmonykit.arrange.clashes import added_clashes, clashes
from harmonykit.arrange.costs import travelling_hand
from harmonykit.arrange.functions import resolutions, structural
from harmonykit.arrange.line_figures import added_steps, line
from harmonykit.arrange.playability import playability
from harmonykit.errors import wrong_kind
from harmonykit.evidence.kinds import style_of
from harmonykit.fretboard.hands.hand import Limits, position_of
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.key import Key
from harmonykit.theory.leading.staircase import pair_semitones, voice_pairs
from harmonykit.tune.analysis.key_finding import key_pcs
from harmonykit.tune.analysis.surprise import Surprise, surprise
from harmonykit.tune.bar import bar_length
from harmonykit.tune.playing import Change, PlayedBar
from harmonykit.values import dataclass, field, fields

if TYPE_CHECKING:
    import pandas as pd


def _column(name: str, unit: str, about: str, more: str) -> Any:
    """Return a field with its column's name, its unit, what it counts, and what more of it is."""
    told = {"column": f"{name} ({unit})", "name": name, "unit": unit, "more": more}
    return field(metadata={**told, "about": f"{about}; more is {more}"})


@dataclass(frozen=True, slots=True)
class Measures:
    """The measures of one arrangement; ``hk.arrange.MEASURES`` says what each of them is."""

    semitones: int = _column(
        "voice leading",
        "semitones",
        "the movement of all voices together, from each shape to the next",
        "busier",
    )
    greatest_movement: int = _column(
        "greatest voice movement",
        "semitones",
        "the farthest that all voices together move at one change",
        "rougher",
    )
    mean_movement: float = _column(
        "mean voice movement",
        "semitones",
        "how far all voices together move at a change, on average",
        "busier",
    )
    greatest_leap: int = _column(
        "greatest leap", "semitones", "the farthest that one voice moves at a change", "rougher"
    )
    top_line: int = _column(
        "top line", "semitones", "the movement of the highest pitch", "livelier"
    )
    travel_mm: int = _column(
        "travel", "mm", "how far the hand moves: the mean of four fingers", "harder"
    )
    travel_frets: int = _column(
        "travel", "frets", "how far the index finger moves, in frets", "harder"
    )
    strings: int = _column(
        "strings", "changed frets", "how often a string's fret changes", "harder"
    )
    widest_mm: float = _column(
        "widest stretch",
        "mm",
        "the greatest distance from the lowest to the highest fret pressed",
        "harder",
    )
    shapes: int = _column("shapes", "distinct", "different shapes to learn", "harder")
    highest_fret: int = _column(
        "highest fret", "fret", "the highest fret that is pressed", "higher"
    )
    added: int = _column(
        "added",
        "chords",
        "chords that are not the tune's own; one that goes on counts once",
        "denser",
    )
    changes: int = _column("changes", "count", "how often the hand changes shape", "busier")
    changes_a_bar: float = _column(
        "changes", "a bar", "changes of shape per bar, repeats included", "busier"
    )
    least_seconds: float = _column(
        "least time",
        "s",
        "the shortest time from one shape to the next, infinite for a single shape",
        "easier",
    )
    outside: float = _column(
        "outside the key",
        "% of notes",
        "sounding notes outside the tune's key, weighted by their length",
        "chromatic",
    )
    outside_local: float = _column(
        "outside the local key",
        "% of notes",
        "sounding notes outside the key of the chords around them, weighted by their length",
        "chromatic",
    )
    clashes: int = _column(
        "clashes", "melody notes", "melody notes that clash with the chord under them", "harsher"
    )
    added_clashes: int = _column(
        "added clashes",
        "melody notes",
        "melody notes that clash with an added chord and not with the tune's own",
        "harsher",
    )
    dominants: int = _column(
        "dominants",
        "chords",
        "dominants and their substitutes; neighbours that share a diminished seventh count once",
        "tenser",
    )
    resolved: int = _column(
        "resolved",
        "of the dominants",
        "dominants followed by a root a fifth or a semitone below, or by a substitute for it",
        "settled",
    )
    surprise: float = _column(
        "surprise",
        "bits per change",
        "how unusual the chords are, ornaments left out: each bit halves the probability",
        "rarer",
    )
    surprise_a_bar: float = _column(
        "surprise", "bits a bar", "how unusual the chords are, per bar as played", "rarer"
    )
    playability: float = _column(
        "difficulty",
        "rating",
        "how hard its shapes are, on a scale from 1 to 34 fitted to ratings of songs",
        "harder",
    )
    turns: float = _column(
        "turns of the top line", "a phrase", "changes of direction of the top line", "livelier"
    )
    rests: float = _column(
        "rests", "% of phrases", "phrases that end with half a bar held or silent", "calmer"
    )
    longest_run: float = _column(
        "longest run",
        "beats",
        "the longest run of beats in which no shape is held for two beats",
        "restless",
    )
    not_parallel: float = _column(
        "not parallel",
        "% of changes",
        "one outer voice stays, or the outer voices move in opposite directions",
        "freer",
    )
    guide_tones: int = _column(
        "guide tones",
        "of falling fifths",
        "a seventh moves by step to the third of the next chord",
        "smoother",
    )

    @property
    def row(self) -> tuple[int | float, ...]:
        """The values in order, as a table has them.

        Stretches and shares of notes have one digit, seconds and means two: a hand tells no
        less apart, and further digits differ between machines.
        """
        return tuple(
            round(value, _DIGITS[unit]) if isinstance(value, float) else value
            for name, unit in UNITS.items()
            for value in (getattr(self, name),)
        )


# The last digit that means something to a hand or an ear, by unit.
_DIGITS = {"mm": 1, "s": 2, "semitones": 2, "a bar": 2, "% of notes": 1}
_DIGITS |= {"bits per change": 1, "bits a bar": 1, "rating": 1, "a phrase": 1, "beats": 1}
_DIGITS |= {"% of phrases": 0, "% of changes": 0}

UNITS: dict[str, str] = {f.name: f.metadata["unit"] for f in fields(Measures)}
"""The unit of each measure."""

ABOUT: dict[str, str] = {f.metadata["column"]: f.metadata["about"] for f in fields(Measures)}
"""What each column of ``compare`` tells, and what more of it is, in a few words."""

MORE: dict[str, str] = {f.name: f.metadata["more"] for f in fields(Measures)}
"""What an arrangement with more of each measure is, in a word."""


GROUPS: dict[str, tuple[str, ...]] = {
    "voices": ("mean_movement", "greatest_leap", "turns", "not_parallel", "guide_tones"),
    "hand": (
        "travel_mm", "widest_mm", "highest_fret", "shapes", "changes_a_bar", "least_seconds",
        "playability",
    ),
    "harmony": (
        "added", "surprise", "outside_local", "dominants", "resolved", "clashes", "added_clashes",
    ),
}  # fmt: skip
"""The measures that are shown where arrangements differ in them, by what they are about.

A CSV file has all.
"""


def measure(arrangement: Arrangement) -> Measures:
    """Return the measures of an arrangement, at the tempo for which it was made.

    Parameters
    ----------
    arrangement : Arrangement

    Returns
    -------
    Measures

    Examples
    --------
    >>> tune = hk.read_tune("heron_landing")
    >>> plain = hk.reharmonise(tune, "ukulele", moves=[], k=1)[0]
    >>> row = hk.arrange.measure(plain)
    >>> row.added, row.least_seconds > 1
    (0, True)
    """
    shapes, hand = arrangement.shapes, travelling_hand(arrangement.limits, arrangement.instrument)
    moves = _moves(arrangement.steps)
    held = _held(moves)
    semitones = [pair_semitones(before, after) for before, after in held]
    led = chain.from_iterable(voice_pairs(before, after) for before, after in held)
    onsets = _onsets(arrangement.steps)
    surprising, figures = _surprise(arrangement), line(arrangement)
    resolves, rubs = resolutions(arrangement), clashes(arrangement)
    waits = [float(after - before) for before, after in pairwise(onsets)]
    return Measures(
        semitones=sum(semitones),
        greatest_movement=max(semitones, default=0),
        mean_movement=sum(semitones) / len(semitones) if semitones else 0.0,
        greatest_leap=max((abs(high - low) for low, high in led), default=0),
        top_line=sum(abs(a.top - b.top) for a, b in moves),
        travel_mm=_travel(moves, hand),
        travel_frets=sum(abs(position_of(a.frets) - position_of(b.frets)) for a, b in moves),
        strings=sum(_changed_strings(a, b) for a, b in moves),
        widest_mm=max((shape.stretch_mm for shape in shapes), default=0.0),
        shapes=len(shapes),
        highest_fret=max((shape.highest_fret for shape in shapes), default=0),
        added=len([*added_steps(arrangement)]),
        changes=len(waits),
        changes_a_bar=len(waits) / _bars(arrangement),
        least_seconds=min(waits, default=math.inf) * 60 / arrangement.tempo,
        outside=_outside(arrangement.sounding, repeat(arrangement.tune.key)),
        outside_local=_outside(arrangement.steps, local_keys(arrangement, surprising)),
        clashes=len(rubs),
        added_clashes=len(added_clashes(arrangement)),
        dominants=len(resolves),
        resolved=sum(resolves),
        surprise=surprising.mean,
        surprise_a_bar=surprising.a_bar,
        playability=playability(arrangement).number if arrangement.sounding else 0.0,
        turns=figures.turns,
        rests=figures.rests,
        longest_run=figures.longest_run,
        not_parallel=figures.not_parallel,
        guide_tones=figures.guide_tones,
    )


def values_of(arrangement: Arrangement) -> tuple[int, int, int]:
    """Return the three that a Pareto front is about: semitones, millimetres, chords put in.

    Parameters
    ----------
    arrangement : Arrangement

    Returns
    -------
    tuple of (int, int, int)
        As ``measure`` has them; they take a small part of its time.

    Examples
    --------
    >>> plain = hk.reharmonise("| C6 | C6 |", "ukulele", moves=[], k=1)[0]
    >>> values_of(plain)
    (0, 0, 0)
    """
    moves = _moves(arrangement.steps)
    hand = travelling_hand(arrangement.limits, arrangement.instrument)
    semitones = sum(pair_semitones(before, after) for before, after in _held(moves))
    return semitones, _travel(moves, hand), len([*added_steps(arrangement)])


def _travel(moves: Iterable[tuple[Voicing, Voicing]], hand: Limits) -> int:
    return sum(round(travel_mm(before, after, hand)) for before, after in moves)


@dataclass(frozen=True, slots=True)
class _Played:
    """What is played, as the changes of a tune."""

    changes: tuple[Change, ...]
    playing: tuple[PlayedBar, ...]


def _surprise(arrangement: Arrangement) -> Surprise:
    """Return how surprising what is played is, counted in the style of the tune as written."""
    tune, playing = arrangement.tune, arrangement.tune.playing
    changes = tuple(
        Change(structural(step), step.onset, step.beats, playing[step.bar].bar.number)
        for step in arrangement.steps
    )
    style = style_of([change.chord.semitones for change in tune.changes if change.chord])
    if not any(change.chord for change in changes):
        return Surprise((), len(playing), style)
    return surprise(_Played(changes, playing), tune.key, style)


def _moves(steps: tuple[Step, ...]) -> list[tuple[Voicing, Voicing]]:
    """Return the pairs of different shapes that follow each other without a silence between."""
    held = pairwise(step.voicing for step in steps)
    return [(a, b) for a, b in held if a is not None and b is not None and a != b]


def _held(moves: Iterable[tuple[Voicing, Voicing]]) -> list[tuple[tuple[int, ...], ...]]:
    """Return the sounding notes of pairs of shapes, each from the lowest up."""
    return [(tuple(sorted(a.sounding)), tuple(sorted(b.sounding))) for a, b in moves]


def _onsets(steps: tuple[Step, ...]) -> list[Fraction]:
    """Return the moments at which the hand takes a shape, the first one too."""
    runs = groupby(steps, key=lambda step: step.voicing)
    return [next(run).onset for voicing, run in runs if voicing is not None]


def _changed_strings(before: Voicing, after: Voicing) -> int:
    return sum(a != b for a, b in zip(before.frets, after.frets, strict=True))


def _outside(steps: Iterable[Step], keys: Iterable[Key]) -> float:
    """Return how many in a hundred sounding notes, by length, are outside the scale of their key.

    A minor key has its raised seventh too.
    """
    inside = outside = Fraction(0)
    for step, key in zip(steps, keys, strict=False):
        foreign = sum(pitch % 12 not in key_pcs(key) for pitch in step.sounds)
        outside += foreign * step.beats
        inside += (len(step.sounds) - foreign) * step.beats
    return float(100 * outside / (inside + outside)) if inside + outside else 0.0


def local_keys(arrangement: Arrangement, found: Surprise) -> Iterator[Key]:
    """Yield the local key of each step: that of the change of chord which it is, or which lasts."""
    key, heard = arrangement.tune.key, 0
    keys = {change.index: change.key for change in found.changes}
    for step in arrangement.steps:
        if structural(step) is not None:
            key = keys.get(heard, key)
            heard += 1
        yield key


def _bars(arrangement: Arrangement) -> float:
    """Return the length as played in bars, a short bar in part."""
    playing = arrangement.tune.playing
    return float(sum(played.bar.length / bar_length(played.bar.meter) for played in playing))


def compare(arrangements: Iterable[Arrangement]) -> pd.DataFrame:
    """Return a table: one row an arrangement, one column a measure with its unit.

    Parameters
    ----------
    arrangements : iterable of Arrangement
        A row is called by the arrangement's name, with its place where several share it, or by
        its place alone, from 1.

    Numbers are rounded, as in ``Measures.row``.

    Returns
    -------
    DataFrame

    Raises
    ------
    HarmonyError
        If what was given is not arrangements.

    Examples
    --------
    >>> table = hk.compare([])
    >>> list(table.columns)[:5]
    ['voice leading (semitones)', 'greatest voice movement (semitones)', 'mean voice movement (semitones)', 'greatest leap (semitones)', 'top line (semitones)']
    """  # noqa: E501
    import pandas as pd

    if isinstance(arrangements, Arrangement) or not isinstance(arrangements, Iterable):
        raise wrong_kind(arrangements, "a list of arrangements", "compare([one, other])")
    found = tuple(arrangements)
    for each in found:
        as_arrangement(each)
    columns = list(ABOUT)
    rows = [measure(each).row for each in found]
    index = pd.Index(_row_names(found), name="arrangement")
    return pd.DataFrame(rows, index=index, columns=columns)


def _row_names(arrangements: tuple[Arrangement, ...]) -> list[str]:
    counts = Counter(arrangement.name for arrangement in arrangements)
    return [
        arrangement.name
        if arrangement.name and counts[arrangement.name] == 1
        else f"{arrangement.name} {place}".strip()
        for place, arrangement in enumerate(arrangements, 1)
    ]
