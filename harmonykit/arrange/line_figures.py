"""The line of an arrangement in figures: top line, outer voices, guide tones, density, wording.

Conventions.  Each figure says what it counts; what is a stop, a leap and a step stands in
``top_line``.  A change is from one shape to a different one that follows it without silence.  Two
outer voices are *parallel* where both go one way, *contrary* where they go against each other and
*oblique* where one stays; a change in which both stay counts as none of them.  A voice goes along a
string, or to the pitch that it is paired with from the lowest up (``staircase.voice_pairs``).
Ranges that players find good are common practice, no source.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby, pairwise

from harmonykit.arrange import guides, left_alone, top_line
from harmonykit.arrange.arrangement import Arrangement, Step, as_arrangement, is_foreign
from harmonykit.arrange.top_line import PhraseLine, Stop
from harmonykit.fretboard.shapes.textures import register_marks
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.theory.leading.staircase import voice_pairs
from harmonykit.values import dataclass

RISING, FALLING = ("ascending walk",), ("descending walk",)
"""Moves whose names say where the voices go."""
_FARTHEST_DROP, _STEP = 3, 2


def changes_of(stops: tuple[Stop, ...]) -> Iterator[tuple[Voicing, Voicing]]:
    """Yield the changes of shape."""
    for before, after in pairwise(stops):
        if before.voicing is not None and after.voicing is not None:
            yield before.voicing, after.voicing


def outer_voices(stops: tuple[Stop, ...]) -> tuple[int, int, int]:
    """Return in how many changes the outer voices are parallel, oblique and contrary."""
    parallel = oblique = contrary = 0
    for before, after in changes_of(stops):
        low, high = min(before.sounding), max(before.sounding)
        product = (min(after.sounding) - low) * (max(after.sounding) - high)
        still = min(after.sounding) == low and max(after.sounding) == high
        parallel += product > 0
        contrary += product < 0
        oblique += product == 0 and not still
    return parallel, oblique, contrary


def guide_tones(way: Arrangement) -> tuple[int, int]:
    """Return how many seventh chords fall a fifth, and how often one voice goes 7–3 by step.

    Counted are chords with third and seventh whose root falls a fifth to a chord with a third.
    """
    falls = by_step = 0
    for before, after in pairwise(way.steps):
        goal = guides.third_below(before.chord, after.chord)
        if goal is None or before.voicing is None or after.voicing is None:
            continue
        seventh, third = goal
        falls += 1
        strings = zip(before.voicing.midi, after.voicing.midi, strict=True)
        along = [(a, b) for a, b in strings if a is not None and b is not None]
        paired = voice_pairs(before.sounds, after.sounds)
        by_step += any(
            a % 12 == seventh and b % 12 == third and abs(a - b) <= _STEP
            for a, b in (*along, *paired)
        )
    return falls, by_step


def against_wording(way: Arrangement) -> int:
    """Return how many voices go against the name of their move inside walks.

    A walk begins with a shape that no step leads to; from there on every voice goes its way.
    """
    return sum(
        sum(
            (b < a if after.move in RISING else b > a)
            for a, b in voice_pairs(before.sounds, after.sounds)
        )
        for before, after in pairwise(way.steps)
        if after.move in RISING + FALLING
        and after.move == before.move
        and before.sounds
        and after.sounds
        and before.written == after.written
    )


def drops_at_bar_lines(stops: tuple[Stop, ...]) -> int:
    """Return how often all strings drop more than three frets where a bar begins."""
    count = 0
    for before, after in pairwise(stops):
        if before.voicing is None or after.voicing is None or after.bar == before.bar:
            continue
        frets = zip(before.voicing.frets, after.voicing.frets, strict=True)
        falls = [a - b for a, b in frets if a is not None and b is not None]
        count += bool(falls) and min(falls) > _FARTHEST_DROP
    return count


_BARS = 4


@dataclass(frozen=True, slots=True)
class LineFigures:
    """What a player hears as the line of an arrangement.

    Parameters
    ----------
    phrases : tuple of PhraseLine
        The top line of each phrase.
    leaps, leaps_back : int
        Leaps over a fourth that something follows; those that a step back follows.
    figures, figures_again : int
        Two-bar figures that move; those that come more than once.
    longest_run : float
        The most beats in a row in which no shape is held for two beats, or half a bar.
    walking : float
        In how many of a hundred sounding beats no shape is held so long.
    parallel, oblique, contrary : int
        Changes in which the outer voices go one way, one stays, they go against each other.
    falling_fifths, guide_tones : int
        Seventh chords whose root falls a fifth; those whose seventh goes to the next third by step.
    against_wording : int
        Voices that go against the name of their walk.
    drops : int
        Bar lines at which all strings drop more than three frets.
    too_low : int
        Steps with a second below E♭3 or a third below C3.
    dense : int
        The most added chords in four bars.
    commonest : float
        How many of a hundred added chords the commonest move adds.
    thrice : int
        Added chords that come for the third time in a row at the same place of the bar.
    """

    phrases: tuple[PhraseLine, ...]
    leaps: int
    leaps_back: int
    figures: int
    figures_again: int
    longest_run: float
    walking: float
    parallel: int
    oblique: int
    contrary: int
    falling_fifths: int
    guide_tones: int
    against_wording: int
    drops: int
    too_low: int
    dense: int
    commonest: float
    thrice: int

    @property
    def turns(self) -> float:
        """The turns of the line in a phrase, on average."""
        return sum(phrase.turns for phrase in self.phrases) / len(self.phrases)

    @property
    def rests(self) -> float:
        """How many of a hundred phrases end with half a bar, or more, held or silent."""
        return 100 * sum(phrase.rests for phrase in self.phrases) / len(self.phrases)

    @property
    def one_peak(self) -> float:
        """How many of a hundred phrases come to their highest note once, and not at the start."""
        found = [phrase.times == 1 and not phrase.opens_high for phrase in self.phrases]
        return 100 * sum(found) / len(found)

    @property
    def not_parallel(self) -> float:
        """How many of a hundred changes of the outer voices are oblique or contrary."""
        moved = self.parallel + self.oblique + self.contrary
        return 100 * (self.oblique + self.contrary) / moved if moved else 0.0


def line(arrangement: Arrangement) -> LineFigures:
    """Return the line of an arrangement in figures.

    Parameters
    ----------
    arrangement : Arrangement

    Returns
    -------
    LineFigures

    Raises
    ------
    HarmonyError
        If what was given is not an arrangement.

    Examples
    --------
    >>> plain = hk.reharmonise("heron_landing", "ukulele", moves=[], k=1)[0]
    >>> figures = hk.arrange.line(plain)
    >>> len(figures.phrases), figures.dense, figures.longest_run
    (8, 0, 0.0)
    """
    as_arrangement(arrangement)
    stops = top_line.stops_of(arrangement)
    count, back = top_line.leaps(stops)
    moving, again = top_line.repeated_figures(arrangement, stops)
    parallel, oblique, contrary = outer_voices(stops)
    falls, by_step = guide_tones(arrangement)
    added = list(added_steps(arrangement))
    moves = Counter(step.move for step in added)
    return LineFigures(
        phrases=tuple(top_line.phrase_lines(arrangement, stops)),
        leaps=count,
        leaps_back=back,
        figures=moving,
        figures_again=again,
        longest_run=float(top_line.longest_run(stops)),
        walking=top_line.walking(stops),
        parallel=parallel,
        oblique=oblique,
        contrary=contrary,
        falling_fifths=falls,
        guide_tones=by_step,
        against_wording=against_wording(arrangement),
        drops=drops_at_bar_lines(stops),
        too_low=sum(bool(register_marks(stop.voicing)) for stop in stops if stop.voicing),
        dense=_dense(added),
        commonest=100 * max(moves.values()) / len(added) if added else 0.0,
        thrice=_thrice(arrangement, added),
    )


def added_steps(way: Arrangement) -> Iterator[Step]:
    """Yield the chords whose notes are not the tune's there; one that goes on is one.

    A silence is none, nor is a melody note alone.
    """
    chords = (step for step in way.steps if step.voicing is not None and not step.alone)
    for (_, foreign), group in groupby(
        chords, key=lambda step: (step.chord, is_foreign(step.chord, step.written))
    ):
        if foreign:
            yield next(group)


def _dense(added: list[Step]) -> int:
    bars = [step.bar for step in added]
    return max((bisect_left(bars, bar + _BARS) - bisect_left(bars, bar) for bar in bars), default=0)


def _thrice(way: Arrangement, added: list[Step]) -> int:
    playing = way.tune.playing
    places = [(step.move, step.onset - playing[step.bar].onset) for step in added]
    near = [
        index > 1 and step.bar - added[index - 2].bar <= _BARS for index, step in enumerate(added)
    ]
    rows: list[tuple[str, Fraction]] = []
    count = 0
    for place, close in zip(places, near, strict=True):
        count += close and left_alone.third_in_a_row(rows, *place)
        rows.append(place)
    return count
