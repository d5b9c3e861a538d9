"""What a rehearsal is made of: a performance bar by bar, and how its bars go on otherwise.

Conventions.  Times are seconds.  An event that begins up to ``EARLY`` before a bar line belongs to
the bar behind it: a hand is a little before the beat, or behind it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement, as_arrangement
from harmonykit.arrange.written import printed_numbers
from harmonykit.errors import HarmonyError
from harmonykit.sound.events import play, play_round
from harmonykit.sound.performance import CLICK, Event, Performance
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.tune.groove.value import Groove
from harmonykit.values import dataclass, replace

EARLY = 0.03
_NEAR = 1e-6
# The first bar of fewer bars than these is one of those in which the tune ends.
_SHORTEST = 3

Span = tuple[int, int]
Ends = tuple[float, float]
Within = tuple[float, float, tuple[Event, ...]]
# Until when, or from when on, a bar sounds otherwise, and what begins there then.
Edge = tuple[float, tuple[Event, ...]]
Edges = tuple[Edge | None, Edge | None]
# Of a beat: a stroke that enters with the bar begins before that.
_ENTERS = 0.4


@dataclass(frozen=True, slots=True)
class Material:
    """What a rehearsal is made of: a whole performance, bar by bar.

    Parameters
    ----------
    arrangement : Arrangement
    performance : Performance
        The whole arrangement with every part.
    starts : tuple of float
        Where each bar played begins, and where the last one ends.
    bars : tuple of tuple of Event
        What begins in each bar.
    around : Performance
        The whole bars as a round that goes on.
    onward : dict
        Where a bar begins and ends in the round, and what begins in it, of those bars that differ
        where the tune goes on after its end: nothing slows down, the last chord is not held.
    beats : tuple of (int, float)
        How many beats each bar's metre has, and how long one lasts.
    edges, onward_edges : dict
        How a bar begins where the one before it has not struck its chord, and how it ends where it
        pushes none ahead: where another bar, or silence, is its neighbour in a rehearsal.
    """

    arrangement: Arrangement
    performance: Performance
    starts: tuple[float, ...]
    bars: tuple[tuple[Event, ...], ...]
    around: Performance
    onward: dict[int, Within]
    beats: tuple[tuple[int, float], ...]
    edges: dict[int, Edges]
    onward_edges: dict[int, Edges]

    @classmethod
    def of(cls, arrangement: Arrangement, tempo: float | None = None) -> Material:
        """Return an arrangement's performance, bar by bar."""
        way = as_arrangement(arrangement)
        # What is practised goes on: it does not slow before the end.
        way = replace(way, groove=replace(way.strum, ritard=1.0))
        sung = bool(way.tune.melody)
        whole = play(way, tempo, melody=sung, bass=True)
        playing = way.tune.playing
        starts = (*(start for _, start in whole.bars), whole.sections[-1][-1])
        first = int(playing[0].bar.number == 0 and len(playing) > 1)
        around = play_round(way, range(first, len(playing)), tempo, melody=sung, bass=True)
        turned = (*(start for _, start in around.bars), around.seconds)
        bars, again = _by_bar(whole.events, starts), _by_bar(around.events, turned)
        both = zip(pairwise(starts[first:]), bars[first:], pairwise(turned), again, strict=True)
        onward = {
            bar: (*span, events)
            for bar, (ends, own, span, events) in enumerate(both, first)
            # A round's first stroke is never before its start: that is no other way to go on.
            if (bar > first or len(playing) - first < _SHORTEST)
            and not _same(own, ends, events, span)
        }
        beats = []
        for played in playing:
            beat = beat_length(played.bar.meter)
            seconds = float(beat) * 60 / whole.tempo
            beats.append((int(bar_length(played.bar.meter) / beat), seconds))
        found = cls(way, whole, starts, bars, around, onward, tuple(beats), {}, {})
        return _with_edges(found, tempo) if _reaches_over(way.strum) else found

    @property
    def lead(self) -> int:
        """The bar that is a pick-up: 0, or -1 for none."""
        playing = self.arrangement.tune.playing
        return 0 if playing[0].bar.number == 0 and len(playing) > 1 else -1

    def within(self, bar: int, *, ends: bool, joined: tuple[bool, bool] = (True, True)) -> Within:
        """Return where a bar begins and ends, and what begins in it.

        Parameters
        ----------
        bar : int
        ends : bool
            Whether all is over behind it.
        joined : tuple of (bool, bool)
            Whether the bar before it and the bar after it are its neighbours in the tune.
        """
        onward = not ends and bar in self.onward
        begun, over, events = self.onward[bar] if onward else self._own(bar)
        head, tail = (self.onward_edges if onward else self.edges).get(bar, (None, None))
        if head and not joined[0]:
            events = (*head[1], *(event for event in events if event.onset >= head[0]))
        if tail and not joined[1]:
            events = (*(event for event in events if event.onset < tail[0]), *tail[1])
        return begun, over, events

    def _own(self, bar: int) -> Within:
        return self.starts[bar], self.starts[bar + 1], self.bars[bar]

    def intro(self, bars: int) -> range:
        """Return the last bars of the tune, as many as are asked for; -1 for the groove's own."""
        count, wanted = len(self.bars), self.arrangement.strum.intro if bars < 0 else bars
        return range(max(count - wanted, self.lead + 1), count)

    @property
    def has_room(self) -> bool:
        """Whether the last bar leaves room for a pick-up, so that it belongs to every round."""
        first, last = (self.arrangement.tune.playing[index].bar for index in (0, -1))
        return self.lead == 0 and first.length + last.length <= bar_length(last.meter)

    def span(self, bars: tuple[int, int] | None) -> Span | None:
        """Return the bars of two printed numbers, in playing order; none for the whole tune.

        Raises
        ------
        HarmonyError
            Where the tune has no such bar.
        """
        if bars is None:
            return None
        numbers = [number for number, _ in printed_numbers(self.arrangement)]
        for number in bars:
            if number not in numbers:
                raise HarmonyError(
                    f"{self.arrangement.tune.title} has no bar {number}",
                    rule=f"bars 1 to {max(numbers)}",
                )
        first = numbers.index(bars[0])
        after = [index for index, number in enumerate(numbers) if number == bars[1]]
        last = next((index for index in after if index >= first), None)
        if last is None:
            raise HarmonyError(f"bar {bars[1]} is never played after bar {bars[0]}")
        return first, last

    def order(self, span: Span | None) -> tuple[Sequence[int], Sequence[int]]:
        """Return the bars of the first time through, and of every later one."""
        if span is not None:
            both = range(span[0], span[1] + 1)
            return both, both
        count = len(self.bars)
        return range(count), range(0 if self.lead < 0 or self.has_room else 1, count)


def _by_bar(events: Sequence[Event], starts: Sequence[float]) -> tuple[tuple[Event, ...], ...]:
    """Return the events that begin in each bar; those that count in belong to none."""
    found: list[list[Event]] = [[] for _ in starts[:-1]]
    for event in events:
        bar = bisect_right(starts, event.onset + EARLY) - 1
        # A pick-up enters over clicks that count in.
        counts = event.kind == CLICK and event.onset < starts[0] - _NEAR
        if bar >= 0 and not counts:
            found[min(bar, len(found) - 1)].append(event)
    return tuple(map(tuple, found))


def _reaches_over(groove: Groove) -> bool:
    """Whether a bar of a groove begins with what the one before it has struck."""
    pushed = any(one.push for bar in groove.bars for one in bar)
    pushed = pushed or any(one.push for bar in groove.low for one in bar)
    return pushed or any(not bar or bar[0].at > 0 for bar in groove.bars)


def _with_edges(material: Material, tempo: float | None) -> Material:
    """Return material with how its bars begin and end beside others than their neighbours."""
    count, sung = len(material.bars), bool(material.arrangement.tune.melody)
    alone = [
        play_round(material.arrangement, range(bar, bar + 1), tempo, melody=sung, bass=True).events
        for bar in range(count)
    ]
    own = {bar: _edges(material, bar, material._own(bar), alone[bar]) for bar in range(count)}
    onward = {
        bar: _edges(material, bar, within, alone[bar]) for bar, within in material.onward.items()
    }
    return replace(
        material,
        edges={bar: edges for bar, edges in own.items() if any(edges)},
        onward_edges={bar: edges for bar, edges in onward.items() if any(edges)},
    )


def _edges(material: Material, bar: int, own: Within, alone: Sequence[Event]) -> Edges:
    """Return how a bar begins and ends by itself; nothing where that is as it is."""
    begun, over, events = own
    groove, (_, beat) = material.arrangement.strum, material.beats[bar]
    until, since = begun + _ENTERS * beat, over - _pushed_for(groove) * beat - EARLY
    there = [replace(event, onset=event.onset + begun) for event in alone]
    before = [event for event in events if event.onset < until]
    # What the strings strike: the bass has its root wherever a chord enters.
    head = (
        *(event for event in there if event.onset < until and event.string is not None),
        *(event for event in before if event.string is None),
    )
    tail = tuple(event for event in there if event.onset >= since)
    begins = _alike(head, before)
    ends = _alike(tail, [event for event in events if event.onset >= since])
    return None if begins else (until, head), None if ends else (since, tail)


def _pushed_for(groove: Groove) -> float:
    """Return how many beats before the bar line the first push over it is struck at most."""
    length, beat = bar_length(groove.meter), beat_length(groove.meter)
    strokes = [one.at for bar in groove.bars for one in bar if one.push]
    lows = [one.at for bar in groove.low for one in bar if one.push]
    return float(
        max((length - at for at in (*strokes, *lows) if length - at <= beat), default=0)
    ) / float(beat)


def _alike(some: Sequence[Event], others: Sequence[Event]) -> bool:
    """Whether the same is struck, each as hard; a round's first stroke is never before it."""

    def row(events: Sequence[Event]) -> list[tuple[str, int, int]]:
        return sorted((event.kind, event.midi, event.velocity) for event in events)

    return row(some) == row(others)


def _same(some: Sequence[Event], one: Ends, others: Sequence[Event], other: Ends) -> bool:
    """Whether two bars, each with its start and its end, last as long and sound alike."""

    def plain(event: Event) -> tuple[object, ...]:
        return event.kind, event.midi, event.string, event.velocity

    if abs((one[1] - one[0]) - (other[1] - other[0])) > _NEAR or len(some) != len(others):
        return False
    return all(
        plain(a) == plain(b)
        and abs((a.onset - one[0]) - (b.onset - other[0])) < _NEAR
        and abs(a.length - b.length) < _NEAR
        for a, b in zip(some, others, strict=True)
    )
