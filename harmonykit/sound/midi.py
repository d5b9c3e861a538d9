"""A performance as a Standard MIDI File.

Conventions.  Type 1, 960 ticks to the quarter.  One track for tempo, metre and key, then one for
each part that plays: strings, melody, bass, click.  Each string has a channel of its own, so that
two strings at one pitch do not cut each other off; so have bass and melody, above those of the
strings.  Clicks are on channel 10, the percussion of General MIDI.  A fermata is a slower tempo for
what it holds, so that bars stay bars.

References
----------
Standard MIDI Files 1.0, RP-001, MIDI Manufacturers Association 1996.
General MIDI System Level 1, RP-003, MIDI Manufacturers Association 1991: the numbers of programs.
"""

from __future__ import annotations

import io
from collections.abc import Iterable

import mido

from harmonykit.sound.performance import BASS, CLICK, Event, Performance
from harmonykit.theory.key import Key

TICKS = 960
# Counted from 0: numbers 25 and 33 of General MIDI.
_NYLON_GUITAR, _PLUCKED_BASS = 24, 32
_PERCUSSION, _BASS, _MELODY = 9, 14, 15
_MOST_SHARPS = 7


def write_midi(performance: Performance) -> bytes:
    """Return a performance as the bytes of a MIDI file.

    Every event starts and ends within half a tick of its time in the performance.
    """
    clock = _Clock(performance)
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS)
    file.tracks.append(_track(_conductor(performance, clock)))
    parts = {
        "strings": performance.strummed,
        "melody": performance.melody,
        "bass": performance.bass,
        "click": performance.clicks,
    }
    for name, events in parts.items():
        if events:
            file.tracks.append(_track(_notes(events, clock, name)))
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


class _Clock:
    """Seconds into ticks, at tempi that the file can hold: whole microseconds a quarter.

    ``marks`` are the tempi: the tick at which each starts, its moment, and microseconds a quarter.
    A tempo starts on a whole tick, and what follows is counted from the moment of that tick.
    """

    def __init__(self, performance: Performance) -> None:
        tempos = performance.tempos or ((0.0, performance.tempo),)
        self.marks: list[tuple[int, float, int]] = []
        for start, tempo in tempos:
            tick = self.ticks(start) if self.marks else 0
            self.marks.append((tick, self._moment(tick), round(60_000_000 / tempo)))

    def _moment(self, tick: int) -> float:
        if not self.marks:
            return 0.0
        before, moment, microseconds = self.marks[-1]
        return moment + (tick - before) * microseconds / 1_000_000 / TICKS

    def ticks(self, seconds: float) -> int:
        tick, moment, microseconds = self.marks[0]
        for mark in self.marks[1:]:
            if mark[1] > seconds:
                break
            tick, moment, microseconds = mark
        return tick + round((seconds - moment) * 1_000_000 * TICKS / microseconds)


Timed = tuple[int, int, mido.Message | mido.MetaMessage]


def _track(timed: Iterable[Timed]) -> mido.MidiTrack:
    """Return a track of messages at their ticks; notes end before others start at one tick."""
    track = mido.MidiTrack()
    now = 0
    for tick, _, message in sorted(timed, key=lambda item: item[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    return track


def _conductor(performance: Performance, clock: _Clock) -> Iterable[Timed]:
    # Names in MIDI files are Latin-1 by old custom; what has no place there is left out.
    title = performance.title.encode("latin-1", "ignore").decode("latin-1")
    yield 0, 0, mido.MetaMessage("track_name", name=title)
    for tick, _, microseconds in clock.marks:
        yield tick, 0, mido.MetaMessage("set_tempo", tempo=microseconds)
    if abs(performance.key.signature) <= _MOST_SHARPS:
        yield 0, 0, mido.MetaMessage("key_signature", key=_key_name(performance.key))
    for start, (beats, unit) in performance.meters:
        mark = mido.MetaMessage("time_signature", numerator=beats, denominator=unit)
        yield clock.ticks(start), 0, mark
    yield clock.ticks(performance.seconds), 2, mido.MetaMessage("end_of_track")


def _key_name(key: Key) -> str:
    return key.tonic.name + ("m" if key.mode == "minor" else "")


def _notes(events: tuple[Event, ...], clock: _Clock, name: str) -> Iterable[Timed]:
    yield 0, 0, mido.MetaMessage("track_name", name=name)
    program = _PLUCKED_BASS if name == BASS else _NYLON_GUITAR
    for channel in sorted({_channel(event) for event in events} - {_PERCUSSION}):
        yield 0, 0, mido.Message("program_change", channel=channel, program=program)
    for event in events:
        note = {"channel": _channel(event), "note": event.midi}
        start, end = clock.ticks(event.onset), clock.ticks(event.end)
        yield start, 1, mido.Message("note_on", velocity=event.velocity, **note)
        yield max(end, start + 1), 0, mido.Message("note_off", velocity=0, **note)


def _channel(event: Event) -> int:
    if event.kind in (CLICK, BASS):
        return _PERCUSSION if event.kind == CLICK else _BASS
    if event.string is None:
        return _MELODY
    return event.string if event.string < _PERCUSSION else event.string + 1
