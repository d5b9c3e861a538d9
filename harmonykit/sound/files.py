"""Sound as files that others play: a performance as a Standard MIDI File, samples as MP3.

MIDI.  One track for each part that plays: strings, melody, bass, percussion, click.  Each string
has a channel of its own, so that two strings at one pitch do not cut each other off; so have bass
and melody, above those of the strings.  Percussion and clicks are on channel 10, as General MIDI
has it.  A fermata is a slower tempo for what it holds, so that bars stay bars.  ``score.midi_out``
writes the file.

MP3.  What every phone plays, a tenth as large as a WAV file.  The same samples give the same bytes.
A decoder that reads the file's own note of what the encoder put in front gives back as many samples
as went in.

References
----------
Standard MIDI Files 1.0, RP-001, MIDI Manufacturers Association 1996.
General MIDI System Level 1, RP-003, MIDI Manufacturers Association 1991: the numbers of programs.
ID3 tag version 2.4.0, main structure and native frames, id3.org 2000: the title, as UTF-8.
"""

import io
from collections.abc import Iterable, Iterator

from harmonykit.score.midi_out import TICKS, MidiScore, Struck, Track, write_midi_file
from harmonykit.sound import noise, pluck
from harmonykit.sound.performance import BASS, CLICK, DRUM, Event, Performance
from harmonykit.sound.rendering import Sound

# Counted from 0: numbers 25, 26, 106, 33 and 74 of General MIDI.
_NYLON_GUITAR, _STEEL_GUITAR, _BANJO, _PLUCKED_BASS, _FLUTE = 24, 25, 105, 32, 73
# By words of the instrument's name; what has none of them has nylon strings.
_PROGRAMS = {"banjo": _BANJO, "mandolin": _STEEL_GUITAR, "tenor guitar": _STEEL_GUITAR}
_PERCUSSION, _BASS, _MELODY = 9, 14, 15


def write_midi(performance: Performance) -> bytes:
    """Return a performance as the bytes of a MIDI file.

    Every event starts and ends within half a tick of its time in the performance.

    Parameters
    ----------
    performance : Performance

    Returns
    -------
    bytes
        A whole file.

    References
    ----------
    Standard MIDI Files 1.0, RP-001, MIDI Manufacturers Association 1996.

    Examples
    --------
    >>> strings = hk.sound.play_strings(hk.Instrument.named("ukulele"))
    >>> hk.sound.midi_bytes(strings)[:4]
    b'MThd'
    """
    clock = _Clock(performance)
    parts = {
        "strings": performance.strummed,
        "melody": performance.melody,
        "bass": performance.bass,
        "percussion": performance.percussion,
        "click": performance.clicks,
    }
    score = MidiScore(
        title=performance.title,
        key=performance.key,
        tempos=tuple((tick, microseconds) for tick, _, microseconds in clock.marks),
        meters=tuple((clock.ticks(start), meter) for start, meter in performance.meters),
        end=clock.ticks(performance.seconds),
        tracks=tuple(
            _track(name, events, clock, _program(name, performance))
            for name, events in parts.items()
            if events
        ),
    )
    return write_midi_file(score)


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


def _program(name: str, performance: Performance) -> int:
    """Return the instrument of General MIDI that a part has, counted from 0."""
    if name in (BASS, "melody"):
        return _PLUCKED_BASS if name == BASS else _FLUTE
    own = performance.instrument.name if performance.instrument else ""
    return next((number for word, number in _PROGRAMS.items() if word in own), _NYLON_GUITAR)


def _track(name: str, events: Iterable[Event], clock: _Clock, program: int) -> Track:
    notes = tuple(_struck(event, clock) for event in events)
    channels = sorted({note.channel for note in notes} - {_PERCUSSION})
    return Track(name, notes, tuple((channel, program) for channel in channels))


def _struck(event: Event, clock: _Clock) -> Struck:
    start, end = clock.ticks(event.onset), clock.ticks(event.end)
    return Struck(start, max(end, start + 1), event.midi, event.velocity, _channel(event))


def _channel(event: Event) -> int:
    if event.kind in (CLICK, DRUM, BASS):
        return _BASS if event.kind == BASS else _PERCUSSION
    if event.string is None:
        return _MELODY
    return event.string if event.string < _PERCUSSION else event.string + 1


# A variable bit rate, about 95 kbit/s for plucked strings in a room; 0 is the best, 1 the smallest.
_COMPRESSION = 0.6
# Long tunes are handed to the encoder in parts.
_PART = 1 << 20
_UTF8 = b"\x03"


def mp3_bytes(samples: noise.Samples | Sound, rate: int = pluck.RATE) -> bytes:
    """Return samples, or a sound at its own rate, as an MP3 file without a title.

    Parameters
    ----------
    samples : numpy.ndarray or Sound
    rate : int
        Samples a second.
    """
    from soundfile import SoundFile

    buffer = io.BytesIO()
    how = {"bitrate_mode": "VARIABLE", "compression_level": _COMPRESSION}
    rate = samples.rate if isinstance(samples, Sound) else rate
    channels = samples.channels if isinstance(samples, Sound) else samples.ndim
    with SoundFile(buffer, "w", rate, channels, "MPEG_LAYER_III", format="MP3", **how) as file:
        for part in _parts(samples):
            file.write(part.astype("float32"))
    return buffer.getvalue()


def _parts(samples: noise.Samples | Sound) -> Iterator[noise.Samples]:
    if isinstance(samples, Sound):
        yield from samples
        return
    for start in range(0, len(samples), _PART):
        yield samples[start : start + _PART]


def titled(title: str, mp3: bytes) -> bytes:
    """Return an MP3 file with the title that a player shows."""
    text = _UTF8 + title.encode("utf-8")
    frame = b"TIT2" + _seven_bits(len(text)) + bytes(2) + text
    return b"ID3\x04\x00\x00" + _seven_bits(len(frame)) + frame + mp3


def _seven_bits(size: int) -> bytes:
    """Return a size as four bytes of seven bits each."""
    return bytes(size >> shift & 0x7F for shift in (21, 14, 7, 0))
