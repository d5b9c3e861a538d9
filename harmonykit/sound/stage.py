"""An arrangement, or some bars of it, against the clock.

Conventions.  Quarters are counted from the start of the tune as played; seconds from the start of
what is heard: the tuning notes where there are any, then the count-in, then the tune.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import floor
from typing import TypeVar

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.sound import performance, strums
from harmonykit.sound.performance import Event, Hold, Performance
from harmonykit.tune.groove import shelf, value
from harmonykit.tune.groove.strokes import Hit, Low, Stroke
from harmonykit.tune.playing import meters_played
from harmonykit.tune.tune import PICKUP, Meter, PlayedBar, Tune, bar_length, beat_length
from harmonykit.values import dataclass, replace

RING_SECONDS = 1.5
# Quarters that are one place, whichever way they were summed.
_NEAR = 1e-9

Held = tuple[Hold, float, float]
Placed = TypeVar("Placed", Low, Hit)


@dataclass(frozen=True, slots=True)
class Stage:
    """Bars in playing order and the clock that they are played by.

    Parameters
    ----------
    arrangement : Arrangement
    tempo : float
        Quarters a minute.
    bars : range
        Which of the tune's bars in playing order.
    playing : tuple of PlayedBar
        The bars themselves.
    shifts : tuple of Fraction
        How far into a whole bar each of them starts, in quarters.
    tuned, counted : Fraction
        Quarters of tuning notes and of count-in.
    around : bool
        Whether it is played round and round: nothing is held at the end.
    holds : tuple of (Hold, float, float)
        What fermatas hold, with where it begins and ends in quarters of what is heard.
    grooves : tuple of Groove
        The groove of each bar: another where the metre changes.
    turns : tuple of int
        Which bar of its groove each bar is, counted from the start of its section.
    slowing : tuple of (float, float, float)
        Where the tempo slows before the end: from, to, and how much longer it takes, in quarters
        of what is heard.
    begun : tuple of (Fraction, float)
        Where the whole bar of each begins, in quarters of the tune and of what is heard.
    """

    arrangement: Arrangement
    tempo: float
    bars: range
    playing: tuple[PlayedBar, ...]
    shifts: tuple[Fraction, ...]
    tuned: Fraction = Fraction(0)
    counted: Fraction = Fraction(0)
    around: bool = False
    holds: tuple[Held, ...] = ()
    grooves: tuple[value.Groove, ...] = ()
    turns: tuple[int, ...] = ()
    slowing: tuple[tuple[float, float, float], ...] = ()
    begun: tuple[tuple[Fraction, float], ...] = ()

    @classmethod
    def whole(
        cls, arrangement: Arrangement, tempo: float, *, count_in: bool, tuning: bool
    ) -> Stage:
        """Return the whole arrangement, with tuning notes and count-in before it."""
        playing = arrangement.tune.playing
        meter = playing[0].bar.meter
        bars = performance.count_in_bars(meter, tempo) if count_in else 0
        return (
            cls(
                arrangement,
                tempo,
                range(len(playing)),
                playing,
                performance.shifts_of(playing),
                performance.tuning_length(len(arrangement.instrument.strings), meter, tempo)
                * tuning,
                bars * bar_length(meter),
            )
            ._grooved()
            ._holding()
            ._slowed()
        )

    @classmethod
    def loop(cls, arrangement: Arrangement, tempo: float, bars: range) -> Stage:
        """Return some bars, played round and round."""
        playing = arrangement.tune.playing
        inside = slice(bars.start, bars.stop)
        shifts = performance.shifts_of(playing)[inside]
        return (
            cls(arrangement, tempo, bars, playing[inside], shifts, around=True)
            ._grooved()
            ._holding()
        )

    def _grooved(self) -> Stage:
        """Return the stage with the groove of each bar, and where each begins."""
        tune, own = self.arrangement.tune, self.arrangement.strum
        turns = dict(_turns(tune))
        origins = [
            played.onset - shift for played, shift in zip(self.playing, self.shifts, strict=True)
        ]
        return replace(
            self,
            begun=tuple((origin, float(self.heard(origin))) for origin in origins),
            grooves=tuple(shelf.in_meter(own, tune, played.bar.meter) for played in self.playing),
            turns=tuple(turns[bar] for bar in self.bars),
        )

    def _slowed(self) -> Stage:
        """Return the stage with the ritard of its groove in the bar before the last chord."""
        last = self.arrangement.steps[-1]
        groove = self.arrangement.strum
        if groove.ritard == 1 or self.around or last.bar == 0:
            return self
        end = self.heard(last.onset)
        begin = max(self.heard(self.playing[last.bar - 1].onset), Fraction(0))
        more = float(end - begin) * (groove.ritard - 1)
        return replace(self, slowing=tuple(_slower(float(begin), float(end), more)))

    def _holding(self) -> Stage:
        """Return the stage with what its fermatas hold."""
        holds = [hold for hold in performance.holds_of(self.arrangement) if hold.bar in self.bars]

        def heard(hold: Hold, onset: Fraction) -> float:
            return self._place(onset - self.origin(hold.bar), hold.bar)

        held = [(hold, heard(hold, hold.onset), heard(hold, hold.until)) for hold in holds]
        return replace(self, holds=tuple(held))

    @property
    def last(self) -> Step | None:
        """The chord that is struck once and held at the end; none where it goes round."""
        return None if self.around else self.arrangement.steps[-1]

    def groove_of(self, bar: int) -> value.Groove:
        """Return the groove of a bar in playing order."""
        return self.grooves[bar - self.bars.start]

    def human(self, part: str) -> dict[int, strums.Human]:
        """Return how human a part is in each bar in playing order."""
        each = [strums.Human(groove, self.tempo, part) for groove in self.grooves]
        return dict(zip(self.bars, each, strict=True))

    def strokes(self, bar: int) -> tuple[Stroke, ...]:
        """Return the strokes of a bar in playing order."""
        groove = self.groove_of(bar)
        if groove.ending and self.last is not None and bar == self.last.bar - 1:
            return groove.ending
        bars = groove.bars
        return bars[self.turns[bar - self.bars.start] % len(bars)]

    def lows(self, bar: int) -> tuple[Low, ...] | None:
        """Return the bass line of a bar in playing order; ``None`` where its groove has none."""
        low = self.groove_of(bar).low
        return low[self.turns[bar - self.bars.start] % len(low)] if low else None

    def hits(self, bar: int) -> tuple[Hit, ...]:
        """Return the small percussion of a bar in playing order."""
        beat = self.groove_of(bar).beat
        return beat[self.turns[bar - self.bars.start] % len(beat)] if beat else ()

    def is_held(self, onset: Fraction) -> bool:
        """Whether a fermata begins to hold at a place of the tune."""
        return any(hold.onset == onset for hold, _, _ in self.holds)

    def not_held(self, placed: Iterable[Placed], bar: int) -> list[Placed]:
        """Return what stands at places of a bar, without what falls while a fermata holds."""
        left = list(placed)
        for hold, _, _ in self.holds:
            begin, end = (at - self.origin(bar) for at in (hold.onset, hold.until))
            left = [each for each in left if not begin < each.at < end]
        return left

    @property
    def meter(self) -> Meter:
        """The metre at the start."""
        return self.playing[0].bar.meter

    @property
    def start(self) -> Fraction:
        """Quarters up to the first note of the tune: a pick-up enters inside the count-in."""
        first = self.playing[0].bar
        pickup = Fraction(0) if self.around or first.number else first.length
        return self.tuned + max(self.counted - pickup, Fraction(0))

    @property
    def length(self) -> Fraction:
        """Quarters from the first note of the tune to the end of its last bar."""
        last = self.playing[-1]
        return last.onset + last.bar.length - self.playing[0].onset

    @property
    def steps(self) -> tuple[tuple[int, Step], ...]:
        """The steps inside the bars, each with its index in the arrangement."""
        return tuple(
            (index, step)
            for index, step in enumerate(self.arrangement.steps)
            if step.bar in self.bars
        )

    @property
    def end(self) -> float:
        """Where the last bar ends, in seconds."""
        return self.seconds(self.start + self.length)

    @property
    def ring_end(self) -> float:
        """Where the last chord has rung, in seconds; it is held where nothing comes after it."""
        held = not self.around and self.arrangement.steps[-1].voicing is not None
        return self.end + RING_SECONDS * held

    def seconds(self, quarters: Fraction | float) -> float:
        """Turn quarters from the start of what is heard into seconds: what is held lasts longer."""
        place = float(quarters)
        if not self.holds and not self.slowing:
            return place * 60 / self.tempo
        longer = sum(
            more * min(max((place - begin) / (end - begin), 0.0), 1.0)
            for begin, end, more in self._longer()
        )
        return (place + longer) * 60 / self.tempo

    def _longer(self) -> Iterator[tuple[float, float, float]]:
        """Yield what takes longer than written: from, to, and by how many quarters."""
        yield from ((begin, end, float(hold.more)) for hold, begin, end in self.holds)
        yield from self.slowing

    def is_waiting(self, quarters: Fraction | float) -> bool:
        """Whether a place, in quarters of what is heard, lies inside of what is held."""
        place = float(quarters)
        return any(begin + _NEAR < place < end - _NEAR for _, begin, end in self.holds)

    def origin(self, bar: int) -> Fraction:
        """Return where the whole bar of a played bar begins, in quarters of the tune.

        A pick-up begins later than its whole bar.
        """
        return self.begun[bar - self.bars.start][0]

    def meter_of(self, bar: int) -> Meter:
        """Return the metre of a bar in playing order."""
        return self.playing[bar - self.bars.start].bar.meter

    def next_beat(self, step: Step, onset: Fraction) -> Fraction:
        """Return the place of the tune on which the next beat of a step's bar falls."""
        origin, beat = self.origin(step.bar), beat_length(self.meter_of(step.bar))
        return origin + (floor((onset - origin) / beat) + 1) * beat

    def heard(self, onset: Fraction) -> Fraction:
        """Return quarters of the tune as quarters of what is heard."""
        return self.start + onset - self.playing[0].onset

    def moment(self, onset: Fraction, bar: int) -> float:
        """Return when a place of the tune sounds, in seconds: swung inside its bar."""
        return self.seconds(self._place(onset - self.origin(bar), bar))

    def within(self, at: Fraction, bar: int) -> float:
        """Return when a place of a bar sounds, in seconds; ``at`` counts from its start."""
        return self.seconds(self._place(at, bar))

    def _place(self, at: Fraction, bar: int) -> float:
        """Return a place of a bar as quarters of what is heard, swung."""
        ratio = strums.ratio_of(self.groove_of(bar), self.tempo)
        return self.begun[bar - self.bars.start][1] + strums.swung(at, self.meter_of(bar), ratio)

    def performance(self, events: tuple[Event, ...]) -> Performance:
        """Return events with where bars, steps, sections and metres start."""
        starts = [self.seconds(self.heard(played.onset)) for played in self.playing]
        numbers = [played.bar.number for played in self.playing]
        tune = self.arrangement.tune
        return Performance(
            events=events,
            seconds=self.ring_end,
            tempo=self.tempo,
            meter=self.meter,
            count_in_seconds=self.seconds(self.tuned + self.counted),
            bars=tuple(zip(numbers, starts, strict=True)),
            steps=tuple((i, self.moment(s.onset, s.bar)) for i, s in self.steps),
            meters=tuple(self._meters(starts)),
            key=tune.key,
            title=tune.title,
            sections=tuple(self._sections([*starts, self.end])),
            tuning_seconds=self.seconds(self.tuned),
            around=self.around,
            tempos=tuple(self._tempos()),
            instrument=self.arrangement.instrument,
        )

    def _tempos(self) -> Iterator[tuple[float, float]]:
        """Yield each tempo from where it starts; what is held is as good as slower."""
        edges = {0.0} | {edge for begin, end, _ in self._longer() for edge in (begin, end)}
        for edge in sorted(edges):
            slower = sum(
                more / (end - begin) for begin, end, more in self._longer() if begin <= edge < end
            )
            yield self.seconds(edge), self.tempo / (1 + slower)

    def _meters(self, starts: list[float]) -> Iterator[tuple[float, Meter]]:
        (_, first), *others = meters_played(self.playing, counted_in=self.counted > 0)
        yield 0.0, first
        yield from ((starts[place], meter) for place, meter in others)

    def _sections(self, starts: list[float]) -> Iterator[tuple[str, float, float]]:
        for name, bars in performance.section_spans(self.arrangement.tune):
            first, last = max(bars.start, self.bars.start), min(bars.stop, self.bars.stop)
            if first < last:
                yield name, starts[first - self.bars.start], starts[last - self.bars.start]


def _slower(begin: float, end: float, more: float) -> Iterator[tuple[float, float, float]]:
    """Yield the quarters of a ritard, each slower than the one before it."""
    count = max(round(end - begin), 1)
    wide, whole = (end - begin) / count, count * (count + 1) / 2
    for number in range(count):
        yield begin + number * wide, begin + (number + 1) * wide, more * (number + 1) / whole


def _turns(tune: Tune) -> Iterator[tuple[int, int]]:
    """Yield each bar in playing order with which bar of its section it is; a pick-up before 0."""
    for name, bars in performance.section_spans(tune):
        for bar in bars:
            whole = tune.playing[bar].bar.number > 0 and name != PICKUP
            yield (
                bar,
                bar - bars.start - (tune.playing[bars.start].bar.number == 0) if whole else -1,
            )
