"""One list of events that sound, MIDI and page all play.

Conventions.  Times are seconds from the first click; the bars and the steps say where they start.
Strings are counted from 0 in the instrument's order.  A click has the pitch of a wood block of the
General MIDI percussion map (76 high, 77 low).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.fretboard.voicing import Voicing
from harmonykit.show.strums import Stroke, strokes, swung
from harmonykit.theory.key import Key
from harmonykit.tune.bar import Meter, bar_length, beat_length
from harmonykit.tune.tune import PlayedBar

HIGH_BLOCK, LOW_BLOCK = 76, 77
# One bar of count-in if it lasts as long as this, else two.
LEAST_COUNT_IN = 2.5
RING_SECONDS = 1.5
_COUNT_VELOCITY, _CLICK_VELOCITY, _MELODY_VELOCITY = (112, 88), (56, 40), 84


@dataclass(frozen=True, slots=True)
class Event:
    """Something that sounds.

    Parameters
    ----------
    onset, length : float
        In seconds.
    midi : int
        The pitch of a tone; the wood block of a click.
    string : int or None
        Counted from 0; ``None`` for melody and clicks.
    kind : {"tone", "click"}
    velocity : int in 1..127
    """

    onset: float
    length: float
    midi: int
    string: int | None
    kind: str
    velocity: int

    @property
    def end(self) -> float:
        """When it is over, in seconds."""
        return self.onset + self.length


@dataclass(frozen=True, slots=True)
class Performance:
    """An arrangement as it is played.

    Parameters
    ----------
    events : tuple of Event
        By onset; at one onset by kind, string and pitch.
    seconds : float
        The whole length, with the ring of the last chord.
    tempo : float
        Quarters a minute.
    meter : tuple of int
        The metre at the start.
    count_in_seconds : float
        Up to the first whole bar; a pick-up enters before that.
    bars : tuple of (int, float)
        Written number and start of each bar in playing order.
    steps : tuple of (int, float)
        Index and start of each step of the arrangement.
    meters : tuple of (float, (int, int))
        Each metre from where it starts, the first from 0.
    key : Key
    title : str
    """

    events: tuple[Event, ...]
    seconds: float
    tempo: float
    meter: Meter
    count_in_seconds: float
    bars: tuple[tuple[int, float], ...]
    steps: tuple[tuple[int, float], ...]
    meters: tuple[tuple[float, Meter], ...]
    key: Key
    title: str = ""

    @property
    def tones(self) -> tuple[Event, ...]:
        """The events that have a pitch."""
        return tuple(event for event in self.events if event.kind == "tone")

    @property
    def clicks(self) -> tuple[Event, ...]:
        """The clicks."""
        return tuple(event for event in self.events if event.kind == "click")


def play(
    arrangement: Arrangement,
    tempo: float | None = None,
    count_in: bool = True,
    *,
    click: bool = True,
    melody: bool = False,
) -> Performance:
    """Play an arrangement: strums by its metre, the last chord held.

    Where no chord sounds the strings are silent and the click goes on.

    Parameters
    ----------
    arrangement : Arrangement
    tempo : float, optional
        Quarters a minute; the arrangement's own unless given.
    count_in : bool
        One bar of clicks if it lasts 2.5 s, else two; a pick-up enters inside it.
    click : bool
        Whether a soft click goes on through the tune.
    melody : bool
        Whether the tune's melody sounds too.
    """
    stage = _Stage(arrangement, arrangement.tempo if tempo is None else tempo, count_in)
    events = [*stage.strummed(), *stage.clicks(click)]
    if melody:
        events += stage.sung()
    events.sort(key=lambda e: (e.onset, e.kind, -1 if e.string is None else e.string, e.midi))
    return stage.performance(tuple(events))


def count_in_bars(meter: Meter, tempo: float) -> int:
    """Return how many bars are counted in.

    Examples
    --------
    >>> count_in_bars((4, 4), 96), count_in_bars((4, 4), 97), count_in_bars((3, 4), 96)
    (1, 2, 2)
    """
    return 1 if float(bar_length(meter)) * 60 / tempo >= LEAST_COUNT_IN else 2


class _Stage:
    """An arrangement against the clock."""

    def __init__(self, arrangement: Arrangement, tempo: float, count_in: bool) -> None:
        self.arrangement, self.tempo = arrangement, tempo
        tune = arrangement.tune
        self.playing = tune.playing
        self.shifts = _shifts(self.playing)
        self.meter = self.playing[0].bar.meter
        self.counted = Fraction(0)
        if count_in:
            self.counted = count_in_bars(self.meter, tempo) * bar_length(self.meter)
        # Quarters from the first click to the tune's first note: a pick-up enters in the count-in.
        self.start = max(self.counted - tune.pickup, Fraction(0))
        self.length = tune.length

    def seconds(self, quarters: Fraction | float) -> float:
        """Turn quarters from the first click into seconds."""
        return float(quarters) * 60 / self.tempo

    def moment(self, onset: Fraction, bar: int) -> float:
        """Return when a place of the tune sounds, in seconds: swung inside its bar."""
        played, shift = self.playing[bar], self.shifts[bar]
        inside = swung(onset - played.onset + shift, played.bar.meter, self.tempo) - float(shift)
        return self.seconds(float(self.start + played.onset) + inside)

    def strummed(self) -> Iterator[Event]:
        """Yield the strings' tones."""
        found = [*self._strokes(), (self._ring_end(), None, Stroke(Fraction(0)))]
        for (onset, voicing, stroke), (after, following, answer) in pairwise(found):
            if voicing is None:
                continue
            ends = _delays(following, answer) if following else {}
            for string, delay in _delays(voicing, stroke).items():
                begin = onset + delay
                end = after + ends.get(string, 0.0)
                pitch = voicing.instrument.midi[string] + (voicing.frets[string] or 0)
                yield Event(begin, end - begin, pitch, string, "tone", stroke.velocity)

    def _strokes(self) -> Iterator[tuple[float, Voicing | None, Stroke]]:
        """Yield each stroke with its moment; a silence is a stroke of no strings."""
        steps = self.arrangement.steps
        for index, step in enumerate(steps):
            if step.voicing is None:
                yield self.moment(step.onset, step.bar), None, Stroke(Fraction(0))
            elif index == len(steps) - 1:
                held = Stroke(Fraction(0), accent=True, held=True)
                yield self.moment(step.onset, step.bar), step.voicing, held
            else:
                previous = steps[index - 1] if index else None
                for onset, stroke in self._pattern(step, previous):
                    yield self.moment(onset, step.bar), step.voicing, stroke

    def _pattern(self, step: Step, previous: Step | None) -> Iterator[tuple[Fraction, Stroke]]:
        """Yield the metre's strokes inside a step, and one where its chord enters off them."""
        played = self.playing[step.bar]
        origin = played.onset - self.shifts[step.bar]
        inside = [
            (origin + stroke.at, stroke)
            for stroke in strokes(played.bar.meter)
            if step.onset <= origin + stroke.at < step.onset + step.beats
        ]
        entered = previous is None or previous.voicing != step.voicing
        if entered and (not inside or inside[0][0] != step.onset):
            yield step.onset, Stroke(step.onset - origin)
        yield from inside

    def _ring_end(self) -> float:
        return self.seconds(self.start + self.length) + self._ring()

    def _ring(self) -> float:
        return RING_SECONDS if self.arrangement.steps[-1].voicing is not None else 0.0

    def clicks(self, through: bool) -> Iterator[Event]:
        """Yield the count-in's clicks and, softly, those of the tune."""
        whole = bar_length(self.meter)
        for bar in range(int(self.counted / whole)):
            yield from self._bar_clicks(self.meter, bar * whole, Fraction(0), _COUNT_VELOCITY)
        if not through:
            return
        for played, shift in zip(self.playing, self.shifts, strict=True):
            origin = self.start + played.onset
            # A pick-up's beats are counted already.
            if origin >= self.counted:
                end = shift + played.bar.length
                yield from self._bar_clicks(
                    played.bar.meter, origin - shift, shift, _CLICK_VELOCITY, end
                )

    def _bar_clicks(
        self,
        meter: Meter,
        origin: Fraction,
        start: Fraction,
        velocities: tuple[int, int],
        end: Fraction | None = None,
    ) -> Iterator[Event]:
        beat = beat_length(meter)
        stop = bar_length(meter) if end is None else end
        for index in range(math.ceil(start / beat), math.ceil(stop / beat)):
            block = HIGH_BLOCK if index == 0 else LOW_BLOCK
            moment = self.seconds(origin + index * beat)
            yield Event(moment, 0.03, block, None, "click", velocities[min(index, 1)])

    def sung(self) -> Iterator[Event]:
        """Yield the melody."""
        bar = 0
        for note in self.arrangement.tune.melody:
            begin, bar = self._melody_moment(note.onset, bar)
            end, _ = self._melody_moment(note.onset + note.beats, bar)
            yield Event(begin, end - begin, note.note.midi, None, "tone", _MELODY_VELOCITY)

    def _melody_moment(self, onset: Fraction, bar: int) -> tuple[float, int]:
        while bar + 1 < len(self.playing) and self.playing[bar + 1].onset <= onset:
            bar += 1
        return self.moment(onset, bar), bar

    def performance(self, events: tuple[Event, ...]) -> Performance:
        """Return the events with where bars, steps and metres start."""
        starts = [self.seconds(self.start + played.onset) for played in self.playing]
        numbers = [played.bar.number for played in self.playing]
        steps = self.arrangement.steps
        return Performance(
            events=events,
            seconds=self._ring_end(),
            tempo=self.tempo,
            meter=self.meter,
            count_in_seconds=self.seconds(self.counted),
            bars=tuple(zip(numbers, starts, strict=True)),
            steps=tuple((i, self.moment(s.onset, s.bar)) for i, s in enumerate(steps)),
            meters=tuple(self._meters(starts)),
            key=self.arrangement.tune.key,
            title=self.arrangement.tune.title,
        )

    def _meters(self, starts: list[float]) -> Iterator[tuple[float, Meter]]:
        yield 0.0, self.meter
        before = self.meter
        for played, start in zip(self.playing, starts, strict=True):
            if played.bar.meter != before:
                before = played.bar.meter
                yield start, before


def _shifts(playing: tuple[PlayedBar, ...]) -> list[Fraction]:
    """Return how far into a whole bar each played bar starts, in quarters.

    A pick-up holds a bar's last beats, and so does the second half of a bar that a repeat cuts.
    """
    shifts = []
    for index, played in enumerate(playing):
        missing = bar_length(played.bar.meter) - played.bar.length
        number = played.bar.number
        second = index > 0 and playing[index - 1].bar.number == number
        second = second and playing[index - 1].bar.length <= missing
        shifts.append(missing if number == 0 or second else Fraction(0))
    return shifts


def _delays(voicing: Voicing, stroke: Stroke) -> dict[int, float]:
    """Return how long after the stroke each sounding string is reached, in seconds."""
    strings = [string for string, fret in enumerate(voicing.frets) if fret is not None]
    order = strings if stroke.down else strings[::-1]
    apart = stroke.spread / max(len(order) - 1, 1)
    return {string: place * apart for place, string in enumerate(order)}
