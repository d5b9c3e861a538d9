"""A performance as a Standard MIDI File.

Conventions.  Type 1, 960 ticks to the quarter.  One track for tempo, metre and key, one for the
strings, one for the clicks.  Each string has a channel of its own, so that two strings at one pitch
do not cut each other off; clicks are on channel 10, the percussion of General MIDI.

References
----------
Standard MIDI Files 1.0, RP-001, MIDI Manufacturers Association 1996.
"""

from __future__ import annotations

import io
from collections.abc import Iterable

import mido

from harmonykit.show.events import Event, Performance
from harmonykit.theory.key import Key

TICKS = 960
_NYLON_GUITAR = 24
_PERCUSSION, _MELODY = 9, 15
_MOST_SHARPS = 7


def write_midi(performance: Performance) -> bytes:
    """Return a performance as the bytes of a MIDI file.

    Every event starts and ends within half a tick of its time in the performance.
    """
    clock = _Clock(performance.tempo)
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS)
    file.tracks.append(_track(_conductor(performance, clock)))
    file.tracks.append(_track(_notes(performance.tones, clock, "strings")))
    file.tracks.append(_track(_notes(performance.clicks, clock, "click")))
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


class _Clock:
    """Seconds into ticks at the tempo that the file can hold: whole microseconds a quarter."""

    def __init__(self, tempo: float) -> None:
        self.microseconds = round(60_000_000 / tempo)

    def ticks(self, seconds: float) -> int:
        return round(seconds * 1_000_000 * TICKS / self.microseconds)


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
    yield 0, 0, mido.MetaMessage("set_tempo", tempo=clock.microseconds)
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
    for channel in sorted({_channel(event) for event in events} - {_PERCUSSION}):
        yield 0, 0, mido.Message("program_change", channel=channel, program=_NYLON_GUITAR)
    for event in events:
        note = {"channel": _channel(event), "note": event.midi}
        start, end = clock.ticks(event.onset), clock.ticks(event.end)
        yield start, 1, mido.Message("note_on", velocity=event.velocity, **note)
        yield max(end, start + 1), 0, mido.Message("note_off", velocity=0, **note)


def _channel(event: Event) -> int:
    if event.kind == "click":
        return _PERCUSSION
    if event.string is None:
        return _MELODY
    return event.string if event.string < _PERCUSSION else event.string + 1
