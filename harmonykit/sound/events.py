"""One list of events that sound, MIDI and page all play.

Conventions.  Times are seconds from the first click, or from the first tuning note where there are
any; the bars and the steps say where they start.
"""

from __future__ import annotations

from harmonykit.arrange.arrangement import Arrangement, as_arrangement
from harmonykit.fretboard.strings.instrument import InstrumentLike, as_instrument
from harmonykit.sound import performance
from harmonykit.sound.bass_line import bass_line
from harmonykit.sound.parts import TUNING_VELOCITY, clicks, percussion, strummed, sung
from harmonykit.sound.parts import tuning as tuning_notes
from harmonykit.sound.stage import Stage
from harmonykit.theory.key import Key
from harmonykit.tune.tune import PICKUP, PlayedBar, Tune, bar_length


def play(
    arrangement: Arrangement,
    tempo: float | None = None,
    *,
    count_in: bool = True,
    click: bool = True,
    melody: bool = False,
    bass: bool = False,
    tuning: bool = False,
) -> performance.Performance:
    """Play an arrangement: strummed by its groove, the last chord held.

    Small percussion plays where the groove has any; ``without`` of what is returned leaves it out.
    Where no chord sounds the strings, the bass and it are silent and the click goes on.

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
        Whether a bass plays the line of the groove.
    tuning : bool
        Whether the open strings are played one after another before the count-in.

    Returns
    -------
    Performance
        Event by event, in seconds.

    Examples
    --------
    >>> plain = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
    >>> performance = hk.sound.play(plain, tempo=100)
    >>> performance.seconds > 30, len(performance.events) > 100
    (True, True)
    """
    arrangement = as_arrangement(arrangement)
    pace = arrangement.tempo if tempo is None else tempo
    stage = Stage.whole(arrangement, pace, count_in=count_in, tuning=tuning)
    events = [*tuning_notes(stage), *clicks(stage, through=click)]
    return stage.performance(
        performance.in_order([*events, *_parts(stage, melody=melody, bass=bass)])
    )


def play_loops(
    arrangement: Arrangement,
    tempo: float | None = None,
    *,
    click: bool = True,
    melody: bool = False,
    bass: bool = False,
) -> tuple[tuple[str, performance.Performance], ...]:
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

    Examples
    --------
    >>> plain = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
    >>> [name for name, performance in hk.sound.play_loops(plain)]
    ['A', 'B']
    """
    arrangement = as_arrangement(arrangement)
    return tuple(
        (name, play_round(arrangement, bars, tempo, click=click, melody=melody, bass=bass))
        for name, bars in loop_bars(arrangement.tune)
    )


def play_round(
    arrangement: Arrangement,
    bars: range,
    tempo: float | None = None,
    *,
    click: bool = True,
    melody: bool = False,
    bass: bool = False,
) -> performance.Performance:
    """Return some bars in playing order, counted from 0, as one round of a loop."""
    stage = Stage.loop(arrangement, arrangement.tempo if tempo is None else tempo, bars)
    events = [*clicks(stage, through=click), *_parts(stage, melody=melody, bass=bass)]
    return stage.performance(performance.in_order(events))


def play_strings(instrument: InstrumentLike, times: int = 2) -> performance.Performance:
    """Play the open strings in the instrument's order, to tune by.

    Parameters
    ----------
    instrument : Instrument or str
    times : int
        How often each is plucked before the next.

    Returns
    -------
    Performance
        Event by event, in seconds.

    Examples
    --------
    >>> strings = hk.sound.play_strings("ukulele", times=1)
    >>> [event.midi for event in strings.events]
    [67, 60, 64, 69]
    """
    instrument = as_instrument(instrument)
    pitches = [
        (string, pitch) for string, pitch in enumerate(instrument.midi) for _ in range(times)
    ]
    events = tuple(
        performance.Event(
            index * performance.TUNING_SECONDS,
            performance.TUNING_SECONDS,
            pitch,
            string,
            performance.TONE,
            TUNING_VELOCITY,
        )
        for index, (string, pitch) in enumerate(pitches)
    )
    seconds = len(events) * performance.TUNING_SECONDS
    return performance.Performance(
        events, seconds, 60.0, (4, 4), 0.0, (), (), ((0.0, (4, 4)),), Key.parse("C"), "Tuning",
        instrument=instrument,
    )  # fmt: skip


def loop_bars(tune: Tune) -> tuple[tuple[str, range], ...]:
    """Return each section once, with the bars in playing order that are played round and round.

    Of several ways through a section it is the longest; of those one that the same bar follows, if
    any: as it stands it leads to its own start.  A pick-up belongs to the round where the last bar
    leaves room for it; else the round begins with the first whole bar.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> loop_bars(read_tune(find_data("tunes", "heron_landing")))
    (('A', range(0, 8)), ('B', range(8, 16)), ('C', range(24, 32)))
    """
    playing = tune.playing

    def worth(bars: range) -> tuple[int, bool]:
        after = playing[bars.stop : bars.stop + 1]
        return len(bars), bool(after) and after[0].bar is playing[bars.start].bar

    found: dict[str, range] = {}
    for name, bars in performance.section_spans(tune):
        if name != PICKUP and (name not in found or worth(bars) > worth(found[name])):
            found[name] = bars
    return tuple((name, _with_pickup(playing, bars)) for name, bars in found.items())


def _with_pickup(playing: tuple[PlayedBar, ...], bars: range) -> range:
    """Return the bars of a round, from a pick-up that stands at their start or before it."""
    start = bars.start - (bars.start > 0 and playing[bars.start - 1].section == PICKUP)
    first, last = playing[start].bar, playing[bars.stop - 1].bar
    if first.number > 0 or bars.stop - start == 1:
        return bars
    fits = first.length + last.length <= bar_length(last.meter)
    return range(start if fits else start + 1, bars.stop)


def _parts(stage: Stage, *, melody: bool, bass: bool) -> list[performance.Event]:
    return [
        *strummed(stage),
        *(sung(stage) if melody else ()),
        *(bass_line(stage) if bass else ()),
        *percussion(stage),
    ]
