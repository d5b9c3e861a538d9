"""What an arranger compares: one row of numbers for each arrangement, each with its unit.

Conventions.  A *change* is a moment at which the hand takes another shape than it held just before;
a chord synonym over the same shape is none.  Across a silence (N.C.) no voice leads on and no
hand is hurried: voice leading, top line, travel and strings are counted between shapes that follow
each other without a gap.  Voice leading is the least number of semitones between all sounding
notes of one shape and all of the next.  Lengths are in millimetres, tempo in quarters a minute.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from fractions import Fraction
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Any

from harmonykit.arrange.arrangement import Arrangement, Step, is_foreign
from harmonykit.arrange.clashes import added_clashes
from harmonykit.arrange.costs import travelling_hand
from harmonykit.arrange.line_figures import line
from harmonykit.arrange.playability import playability
from harmonykit.errors import wrong_kind
from harmonykit.evidence.kinds import style_of
from harmonykit.fretboard.hands.fingering import position_of
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.chord import Chord
from harmonykit.theory.leading.staircase import pair_semitones
from harmonykit.tune.analysis.surprise import Surprise, surprise
from harmonykit.tune.bar import bar_length
from harmonykit.tune.playing import Change, PlayedBar

if TYPE_CHECKING:
    import pandas as pd


def _column(name: str, unit: str, about: str) -> Any:
    return field(metadata={"column": f"{name} ({unit})", "unit": unit, "about": about})


@dataclass(frozen=True, slots=True)
class Measures:
    """The measures of one arrangement; ``hk.arrange.MEASURES`` says what each of them is."""

    semitones: int = _column(
        "voice leading",
        "semitones",
        "the movement of all voices together, from each shape to the next",
    )
    greatest_movement: int = _column(
        "greatest voice movement", "semitones", "the most that the voices move at one change"
    )
    mean_movement: float = _column(
        "mean voice movement", "semitones", "what the voices move at a change, on average"
    )
    top_line: int = _column("top line", "semitones", "the movement of the highest pitch")
    travel_mm: float = _column("travel", "mm", "how far the hand moves: the mean of four fingers")
    travel_frets: int = _column("travel", "frets", "how far the index finger moves, in frets")
    strings: int = _column("strings", "changed frets", "how often a string's fret changes")
    widest_mm: float = _column(
        "widest stretch", "mm", "the longest way from the lowest to the highest fret pressed"
    )
    shapes: int = _column("shapes", "distinct", "different shapes to learn")
    highest_fret: int = _column("highest fret", "fret", "the highest fret that is pressed")
    added: int = _column("added", "chords", "chords that are not the tune's own")
    changes: int = _column("changes", "count", "how often the hand takes another shape")
    changes_a_bar: float = _column("changes", "a bar", "changes over the bars as played")
    least_seconds: float = _column(
        "least time",
        "s",
        "the shortest time from one shape to the next; infinite for a single shape",
    )
    outside: float = _column(
        "outside the key", "% of notes", "sounding notes, by their length, not in the key"
    )
    added_clashes: int = _column(
        "added clashes", "melody notes", "melody notes that clash with an added chord only"
    )
    dominants: int = _column("dominants", "chords", "chords with major third and minor seventh")
    resolved: int = _column(
        "resolved", "of the dominants", "followed by a root a fifth or a semitone below"
    )
    surprise: float = _column(
        "surprise",
        "bits per change",
        "how unusual, ornaments left out: each bit halves the probability",
    )
    surprise_a_bar: float = _column("surprise", "bits a bar", "the same over the bars as played")
    playability: float = _column(
        "difficulty", "rating", "how hard its shapes are, by ratings of songs; 1 easy, 34 hard"
    )
    turns: float = _column(
        "turns of the top line", "a phrase", "from up to down or from down to up"
    )
    rests: float = _column(
        "rests", "% of phrases", "phrases that end with half a bar held or silent"
    )
    longest_run: float = _column(
        "longest run", "beats", "the most beats in a row without a shape held for two of them"
    )
    not_parallel: float = _column(
        "not parallel", "% of changes", "an outer voice stays, or they go against each other"
    )
    guide_tones: int = _column(
        "guide tones", "of the falling fifths", "a seventh goes to the next third by step"
    )

    @property
    def row(self) -> tuple[int | float, ...]:
        """The values in order, as a table has them.

        Millimetres and shares of notes have one digit, seconds and means two: a hand tells no
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
"""What each column of ``compare`` tells, in a few words."""


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
    semitones = [
        pair_semitones(tuple(sorted(a.sounding)), tuple(sorted(b.sounding))) for a, b in moves
    ]
    onsets = _onsets(arrangement.steps)
    surprising, figures = _surprise(arrangement), line(arrangement)
    waits = [float(after - before) for before, after in pairwise(onsets)]
    return Measures(
        semitones=sum(semitones),
        greatest_movement=max(semitones, default=0),
        mean_movement=sum(semitones) / len(semitones) if semitones else 0.0,
        top_line=sum(abs(a.top - b.top) for a, b in moves),
        travel_mm=sum(travel_mm(a, b, hand) for a, b in moves),
        travel_frets=sum(abs(position_of(a.frets) - position_of(b.frets)) for a, b in moves),
        strings=sum(_changed_strings(a, b) for a, b in moves),
        widest_mm=max((shape.stretch_mm for shape in shapes), default=0.0),
        shapes=len(shapes),
        highest_fret=max((shape.highest_fret for shape in shapes), default=0),
        added=_added(arrangement.steps),
        changes=len(waits),
        changes_a_bar=len(waits) / _bars(arrangement),
        least_seconds=min(waits, default=math.inf) * 60 / arrangement.tempo,
        outside=_outside(arrangement),
        added_clashes=len(added_clashes(arrangement)),
        dominants=len(_dominants(arrangement.steps)),
        resolved=sum(_dominants(arrangement.steps)),
        surprise=surprising.mean,
        surprise_a_bar=surprising.a_bar,
        playability=playability(arrangement).number if arrangement.sounding else 0.0,
        turns=figures.turns,
        rests=figures.rests,
        longest_run=figures.longest_run,
        not_parallel=figures.not_parallel,
        guide_tones=figures.guide_tones,
    )


@dataclass(frozen=True, slots=True)
class _Played:
    """What is played, as the changes of a tune."""

    changes: tuple[Change, ...]
    playing: tuple[PlayedBar, ...]


def _surprise(arrangement: Arrangement) -> Surprise:
    """Return how surprising what is played is, counted in the style of the tune as written."""
    tune, playing = arrangement.tune, arrangement.tune.playing
    changes = tuple(
        Change(_structural(step), step.onset, step.beats, playing[step.bar].bar.number)
        for step in arrangement.steps
    )
    style = style_of([change.chord.semitones for change in tune.changes if change.chord])
    if not any(change.chord for change in changes):
        return Surprise((), len(playing), style)
    return surprise(_Played(changes, playing), tune.key, style)


def _structural(step: Step) -> Chord | None:
    """Return the chord that a lead sheet would write: under an ornament the tune's own."""
    return step.written if step.ornament else step.chord


def _moves(steps: tuple[Step, ...]) -> list[tuple[Voicing, Voicing]]:
    """Return the pairs of different shapes that follow each other without a silence between."""
    held = pairwise(step.voicing for step in steps)
    return [(a, b) for a, b in held if a is not None and b is not None and a != b]


def _onsets(steps: tuple[Step, ...]) -> list[Fraction]:
    """Return the moments at which the hand takes a shape, the first one too."""
    runs = groupby(steps, key=lambda step: step.voicing)
    return [next(run).onset for voicing, run in runs if voicing is not None]


def _changed_strings(before: Voicing, after: Voicing) -> int:
    return sum(a != b for a, b in zip(before.frets, after.frets, strict=True))


def _added(steps: tuple[Step, ...]) -> int:
    """Count the chords whose notes are not the tune's there; one that goes on is one."""
    runs = groupby(steps, key=lambda step: (step.chord, is_foreign(step.chord, step.written)))
    return sum(foreign for (_, foreign), _ in runs)


def _outside(arrangement: Arrangement) -> float:
    """Return how many in a hundred sounding notes, by length, are outside the key's own scale."""
    scale = {note.pitch_class for note in arrangement.tune.key.scale}
    inside = outside = Fraction(0)
    for step in arrangement.sounding:
        foreign = sum(pitch % 12 not in scale for pitch in step.sounds)
        outside += foreign * step.beats
        inside += (len(step.sounds) - foreign) * step.beats
    return float(100 * outside / (inside + outside)) if inside + outside else 0.0


def _dominants(steps: tuple[Step, ...]) -> list[bool]:
    """Return of each dominant, one that goes on being one, whether its root leads on."""
    chords = [chord for chord, _ in groupby(step.chord for step in steps)]
    return [
        after is not None and (chord.root.pitch_class - after.root.pitch_class) % 12 in (7, 1)
        for chord, after in zip(chords, [*chords[1:], None], strict=True)
        if chord is not None and chord.is_dominant
    ]


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
    ['voice leading (semitones)', 'greatest voice movement (semitones)', 'mean voice movement (semitones)', 'top line (semitones)', 'travel (mm)']
    """  # noqa: E501
    import pandas as pd

    if isinstance(arrangements, Arrangement) or not isinstance(arrangements, Iterable):
        raise wrong_kind(arrangements, "a list of arrangements", "compare([one, other])")
    found = tuple(arrangements)
    for each in found:
        if not isinstance(each, Arrangement):
            raise wrong_kind(each, "an arrangement", 'compare(reharmonise(tune, "ukulele"))')
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
