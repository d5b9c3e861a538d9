"""What is played, as a list: events in seconds, bars and sections, count-in, and where it holds.

Conventions.  Times are seconds from the start.  Strings are counted from 0 in the instrument's
order, bars from 0 in playing order.  A click has the pitch of a wood block of the General MIDI
percussion map (76 high, 77 low), and small percussion its number there.

A fermata holds what sounds at its place, up to the next chord or melody note and not past its bar:
twice as long as written, but never more than two beats longer.  The chord is struck once, and the
click waits (common practice, no source).  Its quarters are counted from the start of the tune as
played.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import pairwise
from math import ceil, inf

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.strings.neck import Neck
from harmonykit.theory.key import Key
from harmonykit.tune.tune import Meter, PlayedBar, Tune, bar_length, beat_length
from harmonykit.values import dataclass, replace

HIGH_BLOCK, LOW_BLOCK = 76, 77
TONE, BASS, CLICK, DRUM = "tone", "bass", "click", "drum"


@dataclass(frozen=True, slots=True)
class Event:
    """Something that sounds.

    Parameters
    ----------
    onset, length : float
        In seconds.
    midi : int
        The pitch of a tone; the wood block of a click; what small percussion it is.
    string : int or None
        Counted from 0; ``None`` for melody, bass, clicks and percussion.
    kind : {"tone", "bass", "click", "drum"}
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
    """An arrangement, or a section of one, as it is played.

    Parameters
    ----------
    events : tuple of Event
        By onset; at one onset by kind, string and pitch.
    seconds : float
        The whole length, with the ring of the last chord.
    tempo : float
        Quarters a minute, but for what a fermata holds.
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
    sections : tuple of (str, float, float)
        Name, start and end of each section in playing order.
    tuning_seconds : float
        How long the open strings are played before the count-in starts.
    around : bool
        Whether the end meets the start: what rings over the end is heard at the start.
    tempos : tuple of (float, float)
        Each tempo from where it starts, where there are several.
    instrument : Neck or None
        The fretted instrument that plays.
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
    sections: tuple[tuple[str, float, float], ...] = ()
    tuning_seconds: float = 0.0
    around: bool = False
    tempos: tuple[tuple[float, float], ...] = ()
    instrument: Neck | None = None

    def __repr__(self) -> str:
        return f"<Performance of {self.title!r}: {self.seconds:.1f} s, {len(self.events)} events>"

    def later(self, start: float, quarters: Fraction) -> float:
        """Return when so many quarters have passed from a moment on, in seconds.

        Parameters
        ----------
        start : float
            In seconds.
        quarters : Fraction

        Returns
        -------
        float

        Examples
        --------
        >>> from fractions import Fraction
        >>> plain = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
        >>> hk.sound.play(plain, tempo=60).later(1.0, Fraction(1, 2))
        1.5
        """
        now, left = start, float(quarters)
        tempos = self.tempos or ((0.0, self.tempo),)
        for (begin, tempo), (end, _) in pairwise([*tempos, (inf, 0.0)]):
            if end > now:
                room = (end - max(begin, now)) * tempo / 60
                if left <= room:
                    return now + left * 60 / tempo
                left, now = left - room, end
        return now

    @property
    def melody(self) -> tuple[Event, ...]:
        """The tones of no string."""
        return tuple(e for e in self.events if e.kind == TONE and e.string is None)

    @property
    def strummed(self) -> tuple[Event, ...]:
        """The tones of the strings."""
        return tuple(event for event in self.events if event.string is not None)

    @property
    def bass(self) -> tuple[Event, ...]:
        """The bass."""
        return tuple(event for event in self.events if event.kind == BASS)

    @property
    def percussion(self) -> tuple[Event, ...]:
        """The small percussion."""
        return tuple(event for event in self.events if event.kind == DRUM)

    @property
    def tones(self) -> tuple[Event, ...]:
        """The events that have a pitch."""
        return tuple(event for event in self.events if event.kind in (TONE, BASS))

    def without(self, kind: str) -> Performance:
        """Return the performance without one kind of event.

        Parameters
        ----------
        kind : {"tone", "bass", "click", "drum"}

        Returns
        -------
        Performance

        Examples
        --------
        >>> plain = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
        >>> played = hk.sound.play(plain)
        >>> len(played.without("click").clicks), len(played.clicks) > 40
        (0, True)
        """
        return replace(self, events=tuple(event for event in self.events if event.kind != kind))

    @property
    def clicks(self) -> tuple[Event, ...]:
        """The clicks."""
        return tuple(event for event in self.events if event.kind == CLICK)


def in_order(events: Iterable[Event]) -> tuple[Event, ...]:
    """Return events as they come; of those at one moment by kind, string and pitch."""

    def order(event: Event) -> tuple[float, str, int, int]:
        return event.onset, event.kind, -1 if event.string is None else event.string, event.midi

    return tuple(sorted(events, key=order))


_MOST_BEATS = 2


@dataclass(frozen=True, slots=True)
class Hold:
    """What a fermata holds.

    Parameters
    ----------
    bar : int
        The bar in playing order, counted from 0.
    onset, until : Fraction
        Where what is held begins and ends, in quarters.
    more : Fraction
        How much longer it is held, in quarters.
    """

    bar: int
    onset: Fraction
    until: Fraction
    more: Fraction


def holds_of(arrangement: Arrangement) -> tuple[Hold, ...]:
    """Return what the fermatas of an arrangement hold, in playing order."""
    return tuple(_holds(arrangement))


def _holds(arrangement: Arrangement) -> Iterator[Hold]:
    playing = arrangement.tune.playing
    if not any(played.bar.fermatas for played in playing):
        return
    entries = {step.onset for step in arrangement.steps}
    entries |= {sung.onset for sung in arrangement.tune.melody}
    for index, played in enumerate(playing):
        end = played.onset + played.bar.length
        places = [played.onset + at for at in played.bar.fermatas]
        most = _MOST_BEATS * beat_length(played.bar.meter)
        for onset, after in pairwise([*places, end]):
            until = min((entry for entry in entries if onset < entry < after), default=after)
            yield Hold(index, onset, until, min(until - onset, most))


# One bar of count-in if it lasts as long as this, else two.
LEAST_COUNT_IN = 2.5
# How long each open string is left to ring at least: time to hear it and to turn a peg.
TUNING_SECONDS = 2.5

Span = tuple[str, range]


def count_in_bars(meter: Meter, tempo: float) -> int:
    """Return how many bars are counted in.

    Examples
    --------
    >>> count_in_bars((4, 4), 96), count_in_bars((4, 4), 97), count_in_bars((3, 4), 96)
    (1, 2, 2)
    """
    return 1 if float(bar_length(meter)) * 60 / tempo >= LEAST_COUNT_IN else 2


def string_beats(meter: Meter, tempo: float) -> int:
    """Return how many beats each open string rings for.

    Examples
    --------
    >>> string_beats((4, 4), 60), string_beats((4, 4), 112)
    (3, 5)
    """
    return ceil(TUNING_SECONDS * tempo / 60 / float(beat_length(meter)))


def tuning_length(strings: int, meter: Meter, tempo: float) -> Fraction:
    """Return how long the tuning notes take, in quarters: whole bars, so that bar lines stay.

    Examples
    --------
    >>> tuning_length(4, (4, 4), 60)
    Fraction(12, 1)
    """
    beats = strings * string_beats(meter, tempo) * beat_length(meter)
    return ceil(beats / bar_length(meter)) * bar_length(meter)


def section_spans(tune: Tune) -> tuple[Span, ...]:
    """Return the name and the bars of each way through a section, in playing order.

    A new way begins with a new section and where a repeat or a jump goes back.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> section_spans(read_tune(find_data("tunes", "heron_landing")))[2:]
    (('A', range(16, 24)), ('C', range(24, 32)))
    """
    playing = tune.playing
    starts = [0]
    for index, (before, played) in enumerate(pairwise(playing), 1):
        back = played.bar.number < before.bar.number or played.bar is before.bar
        if back or played.section != before.section:
            starts.append(index)
    return tuple(
        (playing[first].section, range(first, last))
        for first, last in pairwise([*starts, len(playing)])
    )


def shifts_of(playing: tuple[PlayedBar, ...]) -> tuple[Fraction, ...]:
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
    return tuple(shifts)
