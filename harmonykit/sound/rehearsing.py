"""A play-along as it is practised: bars one after another, each at its tempo, what is left silent.

A rehearsal is made of the events that play-along, page and MIDI share: the bars of a performance
are laid one after another, each as much slower as its tempo says.  The page's script lays the same
bars in the same way (``page/form.js``).

Conventions.  Times are seconds.  An event that begins up to ``EARLY`` before a bar line belongs to
the bar behind it: a hand is a little before the beat, or behind it.  What rings over a bar line
rings on where the next bar is the one that follows in the tune and its part is heard; else it is
over there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.errors import HarmonyError
from harmonykit.sound import performance, rehearsal, stage
from harmonykit.sound.material import Material, Span
from harmonykit.sound.performance import LEAST_COUNT_IN, Event, Performance
from harmonykit.sound.rehearsal import Rehearsal
from harmonykit.sound.turns import Turn, turns_of
from harmonykit.values import dataclass, replace

COUNT_VELOCITY = (112, 88)
_COUNT_SECONDS = 0.03
# The root of the next chord is told in the octave above middle C, as long as most of a beat.
_TOLD_FROM, _TOLD_VELOCITY, _TOLD_PART = 60, 100, 0.9
_NEAR = 1e-6


def part_of(event: Event) -> str:
    """Return which part an event belongs to."""
    if event.kind == performance.TONE:
        return rehearsal.MELODY if event.string is None else rehearsal.STRUM
    return {
        performance.BASS: rehearsal.BASS_PART,
        performance.CLICK: rehearsal.CLICKS,
        performance.DRUM: rehearsal.PERCUSSION,
    }.get(event.kind, event.kind)


def rehearse(
    arrangement: Arrangement | Material,
    how: Rehearsal | str,
    tempo: float | None = None,
    *,
    span: Span | None = None,
) -> Performance:
    """Return an arrangement as it is practised.

    Parameters
    ----------
    arrangement : Arrangement
    how : Rehearsal or str
        As ``Rehearsal.parse`` reads it.
    tempo : float, optional
        Quarters a minute at 100 per cent; the arrangement's own unless given.
    span : tuple of (int, int), optional
        The first bar and the last in playing order, counted from 0, in place of printed numbers.

    Returns
    -------
    Performance
        Event by event, in seconds, with a count-in before the first bar.

    Raises
    ------
    HarmonyError
        For bars that the tune does not have, or a beat that its metre does not have.

    Examples
    --------
    >>> plain = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
    >>> practised = hk.sound.rehearse(plain, "bars 3-4, tempi 60-100, without bass")
    >>> [round(tempo / plain.tempo, 2) for start, tempo in practised.tempos]
    [0.6, 0.7, 0.8, 0.9, 1.0]
    """
    given = Rehearsal.parse(how) if isinstance(how, str) else how
    if (given.hard and span is None) or given.sing:
        raise HarmonyError(f"{given.words}: found in a level", rule="here: bars, by their numbers")
    material = arrangement
    if not isinstance(material, Material):
        material = Material.of(material, tempo)
    return _Laid.of(material, given, span or material.span(given.bars)).performance()


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar of a rehearsal: which it is, from when to when it is heard, and what begins in it.

    ``begun`` and ``over`` are where the bar begins and ends in the performance that it is of.
    """

    turn: Turn
    start: float
    begun: float
    over: float
    events: tuple[Event, ...]
    ends: bool = False

    @property
    def share(self) -> float:
        """The tempo as a share of the whole."""
        return self.turn.tempo / 100

    @property
    def end(self) -> float:
        """When the next bar begins."""
        return self.start + (self.over - self.begun) / self.share


@dataclass(frozen=True, slots=True)
class _Laid:
    """The bars of a rehearsal, laid one after another."""

    material: Material
    how: Rehearsal
    counted: float
    bars: tuple[Bar, ...]

    @classmethod
    def of(cls, material: Material, how: Rehearsal, span: Span | None) -> _Laid:
        first, again = material.order(span)
        intro = material.intro(how.intro) if span is None else ()
        turns = turns_of(how, first, again, material.lead, loop=span is not None, intro=intro)
        count, beat = material.beats[turns[0].bar]
        if how.beats and max(how.beats) > max(material.beats[bar][0] for bar in first):
            raise HarmonyError(f"click {'+'.join(map(str, how.beats))}: the bar has {count} beats")
        seconds = count * beat * 100 / turns[0].tempo
        counted = seconds * (how.count_in or (1 if seconds >= LEAST_COUNT_IN else 2))
        bars: list[Bar] = []
        at = counted
        for index, turn in enumerate(turns):
            ends = index + 1 == len(turns) and span is None
            edges = (
                _leads(turns[index - 1] if index else None, turn),
                _leads(turn, turns[index + 1] if index + 1 < len(turns) else None),
            )
            begun, over, events = material.within(turn.bar, ends=ends, joined=edges)
            # A pick-up is heard inside the count-in.
            inside = not index and turn.bar == material.lead
            at -= (over - begun) * 100 / turn.tempo * inside
            bars.append(Bar(turn, at, begun, over, events, ends))
            at = bars[-1].end
        return cls(material, how, counted, tuple(bars))

    def performance(self) -> Performance:
        """Return what is heard."""
        base, end = self.material.performance, self.bars[-1].end
        sounded = [*self._count_in(), *self._sounded(), *self._told()]
        numbers = base.bars
        last = max((event.end for event in sounded), default=end)
        return Performance(
            events=performance.in_order(sounded),
            seconds=max(end, min(last, end + stage.RING_SECONDS)),
            tempo=base.tempo * self.bars[0].share,
            meter=self._meter(self.bars[0].turn.bar),
            count_in_seconds=self.counted,
            bars=tuple((numbers[bar.turn.bar][0], bar.start) for bar in self.bars),
            steps=tuple(self._steps()),
            meters=tuple(self._meters()),
            key=base.key,
            title=base.title,
            sections=tuple(self._times()),
            tempos=tuple(self._tempos()),
            instrument=base.instrument,
        )

    def _count_in(self) -> Iterator[Event]:
        count, beat = self.material.beats[self.bars[0].turn.bar]
        beat /= self.bars[0].share
        for index in range(round(self.counted / beat)):
            high = index % count == 0
            block = performance.HIGH_BLOCK if high else performance.LOW_BLOCK
            velocity = COUNT_VELOCITY[not high]
            yield Event(index * beat, _COUNT_SECONDS, block, None, performance.CLICK, velocity)

    def _sounded(self) -> Iterator[Event]:
        for index, bar in enumerate(self.bars):
            for event, beat in with_beats(bar.events):
                if self._is_heard(event, bar.turn, beat):
                    onset = max(bar.start + (event.onset - bar.begun) / bar.share, 0.0)
                    length = event.length
                    if event.kind != performance.CLICK:
                        length = self._until(index, event) - onset
                    yield replace(event, onset=onset, length=length)

    def _is_heard(self, event: Event, turn: Turn, beat: int) -> bool:
        if event.kind == performance.CLICK:
            return rehearsal.CLICKS in self.how.parts and (
                not self.how.beats or beat in self.how.beats
            )
        part = part_of(event)
        return not (turn.left or (turn.opening and part == rehearsal.MELODY)) and self._plays(part)

    def _plays(self, part: str) -> bool:
        """Whether a part is heard; what is no part of its own goes with the strum."""
        known = part in rehearsal.PARTS
        return (part if known else rehearsal.STRUM) in self.how.parts

    def _until(self, index: int, event: Event) -> float:
        """Return when an event that begins in a bar is over."""
        bar = self.bars[index]
        left = event.end - bar.begun
        for following in (*self.bars[index + 1 :], None):
            if left <= bar.over - bar.begun + _NEAR or bar.ends:
                return bar.start + left / bar.share
            if following is None or following.turn.bar != bar.turn.bar + 1 or following.turn.left:
                break
            left -= bar.over - bar.begun
            bar = following
        return bar.end

    def _told(self) -> Iterator[Event]:
        """Yield the root of each chord that is told before it comes, a beat before."""
        steps, before = self.material.arrangement.steps, None
        for index, start, bar in self._entries():
            chord = steps[index].chord
            place = self.bars[bar]
            if chord is not None and chord != before and place.turn.named:
                beat = self.material.beats[place.turn.bar][1]
                inside = (start - place.start) * place.share
                slower = self.bars[max(bar - 1, 0)].share
                onset = start - min(beat, inside) / place.share - max(beat - inside, 0.0) / slower
                midi = _TOLD_FROM + chord.root.pitch_class
                length = (start - onset) * _TOLD_PART
                yield Event(max(onset, 0.0), length, midi, None, performance.TONE, _TOLD_VELOCITY)
            before = chord

    def _entries(self) -> Iterator[tuple[int, float, int]]:
        """Yield each step with its start and the place of its bar in the rehearsal."""
        by_bar: dict[int, list[tuple[int, float]]] = {}
        for index, start in self.material.performance.steps:
            by_bar.setdefault(self.material.arrangement.steps[index].bar, []).append((index, start))
        for place, bar in enumerate(self.bars):
            begun, over = self.material.starts[bar.turn.bar : bar.turn.bar + 2]
            for index, start in by_bar.get(bar.turn.bar, ()):
                inside = (start - begun) / (over - begun)
                yield index, bar.start + inside * (bar.end - bar.start), place

    def _steps(self) -> Iterator[tuple[int, float]]:
        yield from ((index, start) for index, start, _ in self._entries())

    def _meter(self, bar: int) -> tuple[int, int]:
        return self.material.arrangement.tune.playing[bar].bar.meter

    def _meters(self) -> Iterator[tuple[float, tuple[int, int]]]:
        yield 0.0, self._meter(self.bars[0].turn.bar)
        for bar, after in pairwise(self.bars):
            if self._meter(bar.turn.bar) != self._meter(after.turn.bar):
                yield after.start, self._meter(after.turn.bar)

    def _tempos(self) -> Iterator[tuple[float, float]]:
        """Yield each tempo from where it starts; what a fermata holds is slower."""
        last = 0.0
        for place, bar in enumerate(self.bars):
            onward = not bar.ends and bar.turn.bar in self.material.onward
            of = self.material.around if onward else self.material.performance
            held = of.tempos or ((0.0, of.tempo),)
            at = max(index for index, (start, _) in enumerate(held) if start <= bar.begun + _NEAR)
            for start, tempo in held[at:]:
                if start >= bar.over - _NEAR:
                    break
                now = tempo * bar.share
                if abs(now - last) > _NEAR:
                    inside = max(start - bar.begun, 0.0) / bar.share
                    yield (bar.start + inside if place or inside else 0.0), now
                    last = now

    def _times(self) -> Iterator[tuple[str, float, float]]:
        """Yield each time through with its tempo in per cent, its start and its end."""
        first = self.bars[0]
        for bar, after in pairwise(self.bars):
            if after.turn.time != bar.turn.time:
                yield f"{bar.turn.tempo} %", first.start, bar.end
                first = after
        yield f"{first.turn.tempo} %", first.start, self.bars[-1].end


def _leads(turn: Turn | None, after: Turn | None) -> bool:
    """Whether a bar goes on into the next as in the tune, both of them heard."""
    if turn is None or after is None or turn.left or after.left:
        return False
    return after.bar == turn.bar + 1


def with_beats(events: Sequence[Event]) -> Iterator[tuple[Event, int]]:
    """Yield events, each with the beat of the last click."""
    beat = 0
    for event in events:
        if event.kind == performance.CLICK:
            beat = 1 if event.midi == performance.HIGH_BLOCK else beat + 1
        yield event, beat
