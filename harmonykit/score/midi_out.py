"""A tune as a Standard MIDI File: what is played, repeats unfolded.

Conventions.  Type 1, 960 ticks to the quarter: one track for tempo, metre and key, one for the
melody, one for the chords, each as its bass and a close chord round middle C.  There is no count-in
here: a play-along has one (``harmonykit.sound.midi``).  Times are exact to the tick.

References
----------
Standard MIDI Files 1.0, RP-001, MIDI Manufacturers Association 1996.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from fractions import Fraction

import mido

from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune

TICKS = 960
MELODY_TRACK, CHORD_TRACK = "melody", "chords"
_LOWEST_BASS, _LOWEST_TONE = 36, 55
_MELODY_VELOCITY, _CHORD_VELOCITY = 96, 64
_MOST_SHARPS = 7

Timed = tuple[Fraction, int, mido.Message | mido.MetaMessage]


def write_midi_file(tune: Tune) -> bytes:
    """Return a tune as the bytes of a MIDI file.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> write_midi_file(read_tune(find_data("tunes", "slack_water_waltz")))[:4]
    b'MThd'
    """
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS)
    for timed in (_conductor(tune), _melody(tune), _chords(tune)):
        file.tracks.append(_track(timed))
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def _track(timed: Iterator[Timed]) -> mido.MidiTrack:
    """Return a track of messages at their times; notes end before others start at one tick."""
    track = mido.MidiTrack()
    now = 0
    for onset, _, message in sorted(timed, key=lambda item: item[:2]):
        tick = round(onset * TICKS)
        track.append(message.copy(time=tick - now))
        now = tick
    return track


def _latin(text: str) -> str:
    # Names in MIDI files are Latin-1 by old custom; what has no place there is left out.
    return text.encode("latin-1", "ignore").decode("latin-1")


def _conductor(tune: Tune) -> Iterator[Timed]:
    start = Fraction(0)
    yield start, 0, mido.MetaMessage("track_name", name=_latin(tune.title))
    yield start, 0, mido.MetaMessage("set_tempo", tempo=round(60_000_000 / tune.tempo))
    if abs(tune.key.signature) <= _MOST_SHARPS:
        name = tune.key.tonic.name + ("m" if tune.key.mode == "minor" else "")
        yield start, 0, mido.MetaMessage("key_signature", key=name)
    meter = None
    for played in tune.playing:
        if played.bar.meter != meter:
            meter = played.bar.meter
            mark = mido.MetaMessage("time_signature", numerator=meter[0], denominator=meter[1])
            yield played.onset, 0, mark
    yield tune.length, 2, mido.MetaMessage("end_of_track")


def _melody(tune: Tune) -> Iterator[Timed]:
    yield Fraction(0), 0, mido.MetaMessage("track_name", name=MELODY_TRACK)
    for sung in tune.melody:
        yield from _note(sung.note.midi, sung.onset, sung.beats, 0, _MELODY_VELOCITY)


def _chords(tune: Tune) -> Iterator[Timed]:
    yield Fraction(0), 0, mido.MetaMessage("track_name", name=CHORD_TRACK)
    for change in tune.changes:
        if change.chord is not None:
            text = _latin(change.chord.symbol)
            yield change.onset, 0, mido.MetaMessage("text", text=text)
            for midi in _voiced(change.chord):
                yield from _note(midi, change.onset, change.beats, 1, _CHORD_VELOCITY)


def _voiced(chord: Chord) -> list[int]:
    bass = _LOWEST_BASS + (chord.bass.pitch_class - _LOWEST_BASS) % 12
    tones = {_LOWEST_TONE + (pc - _LOWEST_TONE) % 12 for pc in _tones(chord)}
    return [bass, *sorted(tones)]


def _tones(chord: Chord) -> list[int]:
    """Return what sounds above the bass: a foreign bass is the bass's alone."""
    return [note.pitch_class for note in chord.tones]


def _note(
    midi: int, onset: Fraction, beats: Fraction, channel: int, velocity: int
) -> Iterator[Timed]:
    if 0 <= midi <= 127:
        on = mido.Message("note_on", channel=channel, note=midi, velocity=velocity)
        yield onset, 1, on
        yield onset + beats, 0, mido.Message("note_off", channel=channel, note=midi)
