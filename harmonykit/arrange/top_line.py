"""The highest pitch of an arrangement as a line, phrase by phrase.

Conventions.  A *stop* is a shape for as long as it sounds without another: steps with one shape are
one stop.  Silence is a stop without a pitch, and no leap goes across it.  A stop is *held* from two
beats of the metre, or half a bar, whichever is less.  A step is two semitones at most, a leap more
than five.  A pitch that stays is not a movement.
"""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from operator import attrgetter
from statistics import correlation

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.tune.analysis.function import Phrase, find_phrases
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.values import dataclass

CONTOURS = ("rise", "fall", "arch", "wave")
_STEP, _FOURTH, _HELD_BEATS, _PAIR = 2, 5, 2, 2
_ONSET, _END = attrgetter("onset"), attrgetter("end")


@dataclass(frozen=True, slots=True)
class Stop:
    """A shape, or silence, for as long as it lasts; times in quarters."""

    voicing: Voicing | None
    onset: Fraction
    beats: Fraction
    bar: int
    held: bool
    beat: Fraction

    @property
    def top(self) -> int | None:
        """The MIDI number of the highest pitch."""
        return None if self.voicing is None else self.voicing.top

    @property
    def end(self) -> Fraction:
        """Where it ends."""
        return self.onset + self.beats


def stops_of(way: Arrangement) -> tuple[Stop, ...]:
    """Return the stops of an arrangement, without a gap."""
    playing = way.tune.playing
    found = []
    for voicing, group in groupby(way.steps, key=lambda step: step.voicing):
        steps = list(group)
        meter = playing[steps[0].bar].bar.meter
        beats = sum((step.beats for step in steps), Fraction(0))
        beat = beat_length(meter)
        least = min(_HELD_BEATS * beat, bar_length(meter) / 2)
        first = steps[0]
        found.append(Stop(voicing, first.onset, beats, first.bar, beats >= least, beat))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class PhraseLine:
    """The top line of one phrase.

    Parameters
    ----------
    first_bar, last_bar : int
        In playing order from 0.
    turns : int
        How often the line turns from up to down or from down to up.
    highest : int
        The MIDI number of the highest note; 0 where nothing sounds.
    times : int
        How often the line comes to it.
    opens_high : bool
        Whether it begins on its highest note and leaves it.
    rests : bool
        Whether the last half bar, or more, is held or silent.
    contour : str
        ``"rise"``, ``"fall"``, ``"arch"`` or ``"wave"``, which the line follows most.
    likeness : float
        The correlation with it, 1 at most; 0 where the line has fewer than three notes.
    """

    first_bar: int
    last_bar: int
    turns: int
    highest: int
    times: int
    opens_high: bool
    rests: bool
    contour: str
    likeness: float


def phrase_lines(way: Arrangement, stops: Sequence[Stop]) -> Iterator[PhraseLine]:
    """Yield the top line of each phrase."""
    playing = way.tune.playing
    for phrase in find_phrases(way.tune):
        since = bisect_right(stops, phrase.onset, key=_END)
        inside = stops[since : bisect_left(stops, phrase.end, key=_ONSET)]
        tops = _line(inside)
        highest = max(tops, default=0)
        last = max((stop.onset for stop in inside), default=phrase.onset)
        half = bar_length(playing[phrase.last_bar].bar.meter) / 2
        contour, likeness = _likest(phrase, inside)
        yield PhraseLine(
            phrase.first_bar,
            phrase.last_bar,
            turns(tops),
            highest,
            tops.count(highest),
            len(tops) > 1 and tops[0] == highest,
            phrase.end - last >= half,
            contour,
            likeness,
        )


def _line(stops: Sequence[Stop]) -> list[int]:
    """Return the highest pitches in a row, one that stays once."""
    return [top for top, _ in groupby(stop.top for stop in stops) if top is not None]


def turns(tops: Sequence[int]) -> int:
    """Return how often a line changes its direction.

    Examples
    --------
    >>> turns([60, 62, 64, 62, 62, 60, 67])
    2
    """
    ways = [b > a for a, b in pairwise(tops) if a != b]
    return sum(a != b for a, b in pairwise(ways))


def leaps(stops: Sequence[Stop]) -> tuple[int, int]:
    """Return how many leaps over a fourth are followed by something, and by a step back."""
    count = back = 0
    for voiced, group in groupby(stops, key=lambda stop: stop.top is not None):
        line = _line(list(group)) if voiced else []
        moves = [b - a for a, b in pairwise(line)]
        for leap, after in pairwise(moves):
            if abs(leap) > _FOURTH:
                count += 1
                back += leap * after < 0 and abs(after) <= _STEP
    return count, back


def longest_run(stops: Sequence[Stop]) -> Fraction:
    """Return the most beats of the metre in a row in which no shape is held."""
    longest = now = Fraction(0)
    for stop in stops:
        now = Fraction(0) if stop.held or stop.voicing is None else now + stop.beats / stop.beat
        longest = max(longest, now)
    return longest


def walking(stops: Sequence[Stop]) -> float:
    """Return in how many of a hundred beats no shape is held."""
    moving = sum(stop.beats for stop in stops if stop.voicing is not None and not stop.held)
    sounding = sum(stop.beats for stop in stops if stop.voicing is not None)
    return float(100 * moving / sounding) if sounding else 0.0


def repeated_figures(way: Arrangement, stops: Sequence[Stop]) -> tuple[int, int]:
    """Return how many two-bar figures move, and how many of them come more than once.

    A figure is when a shape is struck and whether the line rises, falls or stays there.
    """
    playing = way.tune.playing
    figures: Counter[tuple[tuple[Fraction, int], ...]] = Counter()
    for phrase in find_phrases(way.tune):
        for bar in range(phrase.first_bar, phrase.last_bar, _PAIR):
            start = playing[bar].onset
            last = playing[min(bar + _PAIR - 1, phrase.last_bar)]
            end = last.onset + last.bar.length
            struck = stops[
                bisect_left(stops, start, key=_ONSET) : bisect_left(stops, end, key=_ONSET)
            ]
            inside = [stop for stop in struck if stop.top is not None]
            ways = [0, *(_sign((b.top or 0) - (a.top or 0)) for a, b in pairwise(inside))]
            if len(inside) > 2:
                since = (stop.onset - start for stop in inside)
                figures[tuple(zip(since, ways, strict=True))] += 1
    return sum(figures.values()), sum(count for count in figures.values() if count > 1)


def _sign(value: int) -> int:
    return (value > 0) - (value < 0)


def _likest(phrase: Phrase, stops: Sequence[Stop]) -> tuple[str, float]:
    """Return which contour the line of a phrase follows most, and how closely."""
    points = [
        (float((max(stop.onset, phrase.onset) - phrase.onset) / phrase.beats), float(stop.top))
        for stop in stops
        if stop.top is not None
    ]
    if len(points) < 3 or len({top for _, top in points}) < 2:
        return "", 0.0
    found = [(likeness(points, contour), contour) for contour in CONTOURS]
    best = max(found)
    return best[1], best[0]


def likeness(points: Sequence[tuple[float, float]], contour: str) -> float:
    """Return how closely a line follows a contour, as a correlation from -1 to 1.

    Parameters
    ----------
    points : sequence of (float, float)
        Place in the phrase, 0 to 1, and height.
    contour : str
        One of ``CONTOURS``: an arch is highest in the middle, a wave goes up and down twice.

    Examples
    --------
    >>> line = [(0.0, 60.0), (0.25, 62.0), (0.5, 64.0), (0.75, 65.0)]
    >>> round(likeness(line, "rise"), 2), round(likeness(line, "fall"), 2)
    (0.99, -0.99)
    """
    wanted = [_height(contour, place) for place, _ in points]
    if len(set(wanted)) < 2:
        return 0.0
    return correlation(wanted, [height for _, height in points])


def _height(contour: str, place: float) -> float:
    """Return the height of a contour, 0 to 1, at a place from 0 to 1."""
    if contour == "wave":
        place = 2 * place % 1
    if contour in ("arch", "wave"):
        return 1 - abs(2 * place - 1)
    return place if contour == "rise" else 1 - place
