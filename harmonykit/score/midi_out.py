"""A Standard MIDI File: what it holds as a value, its bytes, and a tune as such a file.

Conventions.  Type 1, 960 ticks to the quarter: one track for tempo, metre and key, then one for
each part.  At one tick notes end before others start.  Names are Latin-1 by old custom; what has no
place there is left out.  A tune is written as it is played, repeats unfolded: its melody, and its
chords, each as its bass and a close chord round middle C.  There is no count-in here: a play-along
has one (``harmonykit.sound.files``).  A pick-up is a bar in a metre of its own, so that bar lines
stand where they are written.

References
----------
Standard MIDI Files 1.0, RP-001, MIDI Manufacturers Association 1996.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.playing import meters_played
from harmonykit.tune.tune import Meter, Tune
from harmonykit.values import dataclass

if TYPE_CHECKING:
    import mido

TICKS = 960
MELODY_TRACK, CHORD_TRACK = "melody", "chords"
_LOWEST_BASS, _LOWEST_TONE = 36, 55
_MELODY_VELOCITY, _CHORD_VELOCITY = 96, 64
_MOST_SHARPS = 7
# What comes first at one tick.
_FIRST, _STARTS, _LAST = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Struck:
    """A note: its first tick, the tick at which it is over, its pitch, velocity and channel.

    Channels count from 0.
    """

    start: int
    end: int
    midi: int
    velocity: int
    channel: int


@dataclass(frozen=True, slots=True)
class Track:
    """What one part plays.

    Parameters
    ----------
    name : str
    notes : tuple of Struck
    programs : tuple of (int, int)
        The channels that have an instrument of General MIDI, and its number, both from 0.
    texts, words : tuple of (int, str)
        Marks, and syllables that are sung, at their ticks.
    """

    name: str
    notes: tuple[Struck, ...]
    programs: tuple[tuple[int, int], ...] = ()
    texts: tuple[tuple[int, str], ...] = ()
    words: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class MidiScore:
    """What a MIDI file holds.

    Parameters
    ----------
    title : str
    key : Key
    tempos : tuple of (int, int)
        Each tempo from its tick, in microseconds a quarter.
    meters : tuple of (int, (int, int))
        Each metre from its tick.
    end : int
        The tick at which all is over.
    tracks : tuple of Track
    """

    title: str
    key: Key
    tempos: tuple[tuple[int, int], ...]
    meters: tuple[tuple[int, Meter], ...]
    end: int
    tracks: tuple[Track, ...]


Timed: TypeAlias = "tuple[int, int, mido.Message | mido.MetaMessage]"


def write_midi_file(score: MidiScore) -> bytes:
    """Return the bytes of a MIDI file.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> tune = read_tune(find_data("tunes", "slack_water_waltz"))
    >>> write_midi_file(midi_score(tune))[:4]
    b'MThd'
    """
    import mido

    file = mido.MidiFile(type=1, ticks_per_beat=TICKS)
    for timed in (_conductor(score), *map(_part, score.tracks)):
        file.tracks.append(_track(timed))
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def _track(timed: Iterable[Timed]) -> mido.MidiTrack:
    import mido

    track = mido.MidiTrack()
    now = 0
    for tick, _, message in sorted(timed, key=lambda item: item[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    return track


def _latin(text: str) -> str:
    return text.encode("latin-1", "ignore").decode("latin-1")


def _conductor(score: MidiScore) -> Iterator[Timed]:
    import mido

    yield 0, _FIRST, mido.MetaMessage("track_name", name=_latin(score.title))
    for tick, microseconds in score.tempos:
        yield tick, _FIRST, mido.MetaMessage("set_tempo", tempo=microseconds)
    if abs(score.key.signature) <= _MOST_SHARPS:
        name = score.key.tonic.name + ("m" if score.key.mode == "minor" else "")
        yield 0, _FIRST, mido.MetaMessage("key_signature", key=name)
    for tick, (beats, unit) in score.meters:
        mark = mido.MetaMessage("time_signature", numerator=beats, denominator=unit)
        yield tick, _FIRST, mark
    yield score.end, _LAST, mido.MetaMessage("end_of_track")


def _part(track: Track) -> Iterator[Timed]:
    import mido

    yield 0, _FIRST, mido.MetaMessage("track_name", name=_latin(track.name))
    for channel, program in track.programs:
        yield 0, _FIRST, mido.Message("program_change", channel=channel, program=program)
    for tick, text in track.texts:
        yield tick, _FIRST, mido.MetaMessage("text", text=_latin(text))
    for tick, text in track.words:
        yield tick, _FIRST, mido.MetaMessage("lyrics", text=_latin(text))
    for one in track.notes:
        note = {"channel": one.channel, "note": one.midi}
        yield one.start, _STARTS, mido.Message("note_on", velocity=one.velocity, **note)
        yield one.end, _FIRST, mido.Message("note_off", velocity=0, **note)


def midi_score(tune: Tune) -> MidiScore:
    """Return a tune as it is played; times are exact to the tick."""
    meters = (
        (_tick(tune.playing[place].onset), meter) for place, meter in meters_played(tune.playing)
    )
    texts = ((_tick(c.onset), c.chord.symbol) for c in tune.changes if c.chord is not None)
    return MidiScore(
        title=tune.title,
        key=tune.key,
        tempos=((0, round(60_000_000 / tune.tempo)),),
        meters=tuple(meters),
        end=_tick(tune.length),
        tracks=(
            Track(MELODY_TRACK, tuple(_melody(tune)), words=tuple(_words(tune))),
            Track(CHORD_TRACK, tuple(_chords(tune)), texts=tuple(texts)),
        ),
    )


def _tick(quarters: Fraction) -> int:
    return round(quarters * TICKS)


def _melody(tune: Tune) -> Iterator[Struck]:
    for sung in tune.melody:
        # Melodies are typed in octaves that no MIDI file has a number for.
        if 0 <= sung.note.midi <= 127:
            start, end = _tick(sung.onset), _tick(sung.onset + sung.beats)
            yield Struck(start, end, sung.note.midi, _MELODY_VELOCITY, 0)


def _words(tune: Tune) -> Iterator[tuple[int, str]]:
    """Yield the syllables of the first verse in each pass; a hyphen says that the word goes on."""
    for played in tune.playing:
        yield from ((_tick(played.onset), f"{text} ") for text in played.lyric[:1])
    for sung in tune.melody:
        for one in sung.words[:1]:
            if one.text:
                yield _tick(sung.onset), one.text + ("-" if one.goes_on else " ")


def _chords(tune: Tune) -> Iterator[Struck]:
    for change in tune.changes:
        start, end = _tick(change.onset), _tick(change.onset + change.beats)
        for midi in _voiced(change.chord) if change.chord is not None else ():
            yield Struck(start, end, midi, _CHORD_VELOCITY, 1)


def _voiced(chord: Chord) -> list[int]:
    """Return a bass and what sounds above it: a foreign bass is the bass's alone."""
    bass = _LOWEST_BASS + (chord.bass.pitch_class - _LOWEST_BASS) % 12
    tones = {_LOWEST_TONE + (n.pitch_class - _LOWEST_TONE) % 12 for n in chord.tones}
    return [bass, *sorted(tones)]
