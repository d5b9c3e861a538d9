"""One list of events that sound, MIDI and page all play.

Conventions.  Times are seconds from the first click, or from the first tuning note where there are
any; the bars and the steps say where they start.
"""

from __future__ import annotations

from collections.abc import Iterable

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.instrument import Instrument
from harmonykit.show.parts import TUNING_VELOCITY, clicks, strummed, sung
from harmonykit.show.parts import bass as bass_line
from harmonykit.show.parts import tuning as tuning_notes
from harmonykit.show.performance import HIGH_BLOCK, LOW_BLOCK, TONE, Event, Performance
from harmonykit.show.stage import (
    LEAST_COUNT_IN,
    RING_SECONDS,
    TUNING_SECONDS,
    Stage,
    count_in_bars,
    section_spans,
)
from harmonykit.theory.key import Key
from harmonykit.tune.bar import bar_length
from harmonykit.tune.tune import Tune

__all__ = [
    "HIGH_BLOCK", "LEAST_COUNT_IN", "LOW_BLOCK", "RING_SECONDS", "Event", "Performance",
    "count_in_bars", "loop_bars", "play", "play_loops", "play_strings",
]  # fmt: skip


def play(
    arrangement: Arrangement,
    tempo: float | None = None,
    count_in: bool = True,
    *,
    click: bool = True,
    melody: bool = False,
    bass: bool = False,
    tuning: bool = False,
) -> Performance:
    """Play an arrangement: strums by its metre, the last chord held.

    Where no chord sounds the strings and the bass are silent and the click goes on.

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
    bass : bool
        Whether a low string plays the chords' bass notes on the heavy beats.
    tuning : bool
        Whether the open strings are played one after another before the count-in.
    """
    pace = arrangement.tempo if tempo is None else tempo
    stage = Stage.whole(arrangement, pace, count_in, tuning)
    events = [*tuning_notes(stage), *clicks(stage, click)]
    return stage.performance(_in_order([*events, *_parts(stage, melody, bass)]))


def play_loops(
    arrangement: Arrangement,
    tempo: float | None = None,
    *,
    click: bool = True,
    melody: bool = False,
    bass: bool = False,
) -> tuple[tuple[str, Performance], ...]:
    """Play each section of an arrangement round and round: its end meets its start.

    Parameters
    ----------
    arrangement : Arrangement
    tempo : float, optional
        Quarters a minute; the arrangement's own unless given.
    click, melody, bass : bool
        As for ``play``.

    Returns
    -------
    tuple of (str, Performance)
        The name of each section, in the order in which they come, and one round of it, without a
        count-in.  What rings over its end is over where the next round strikes.
    """
    found = []
    for name, bars in loop_bars(arrangement.tune):
        stage = Stage.loop(arrangement, arrangement.tempo if tempo is None else tempo, bars)
        events = [*clicks(stage, click), *_parts(stage, melody, bass)]
        found.append((name, stage.performance(_in_order(events))))
    return tuple(found)


def play_strings(instrument: Instrument, times: int = 2) -> Performance:
    """Play the open strings in the instrument's order, to tune by.

    Parameters
    ----------
    instrument : Instrument
    times : int
        How often each is plucked before the next.
    """
    pitches = [
        (string, pitch) for string, pitch in enumerate(instrument.midi) for _ in range(times)
    ]
    events = tuple(
        Event(index * TUNING_SECONDS, TUNING_SECONDS, pitch, string, TONE, TUNING_VELOCITY)
        for index, (string, pitch) in enumerate(pitches)
    )
    seconds = len(events) * TUNING_SECONDS
    return Performance(
        events, seconds, 60.0, (4, 4), 0.0, (), (), ((0.0, (4, 4)),), Key.parse("C"), "Tuning"
    )


def loop_bars(tune: Tune) -> tuple[tuple[str, range], ...]:
    """Return each section once, with the bars in playing order that are played round and round.

    Of a section that comes several times it is the one that leads to itself, if any does, else the
    first: a teacher repeats it as it is.  A pick-up belongs to the round where the last bar leaves
    room for it; else the round begins with the first whole bar.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> loop_bars(Tune.read(find_data("tunes", "net_loft_shuffle")))
    (('A', range(0, 8)), ('B', range(16, 24)))
    """
    spans = [span for span in section_spans(tune) if span[1]]
    names = [name for name, _ in spans]
    found = []
    for name in dict.fromkeys(names):
        places = [index for index, other in enumerate(names) if other == name]
        again = (index for index in places if names[index + 1 : index + 2] == [name])
        found.append((name, _without_pickup(tune, spans[next(again, places[0])][1])))
    return tuple(found)


def _without_pickup(tune: Tune, bars: range) -> range:
    if bars.start > 0 or not tune.pickup or len(bars) == 1:
        return bars
    last = tune.playing[bars.stop - 1].bar
    fits = last.length + tune.pickup <= bar_length(last.meter)
    return bars if fits else bars[1:]


def _parts(stage: Stage, melody: bool, bass: bool) -> list[Event]:
    return [
        *strummed(stage),
        *(sung(stage) if melody else ()),
        *(bass_line(stage) if bass else ()),
    ]


def _in_order(events: Iterable[Event]) -> tuple[Event, ...]:
    def order(event: Event) -> tuple[float, str, int, int]:
        return event.onset, event.kind, -1 if event.string is None else event.string, event.midi

    return tuple(sorted(events, key=order))
