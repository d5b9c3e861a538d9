"""A student who plays an arrangement: the sound, and what was really played in each bar.

Two kinds of strings: the tool's own, and a loop of noise in the time domain as Karplus and Strong
first described it, written here, with other decay and brightness.  Room, telephone and noise are
made here too, of numpy alone.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.pluck import pluck
from harmonykit.sound.strung import voices

Samples = NDArray[np.float64]
RATE = 22_050


@dataclass(frozen=True)
class Playing:
    """How a student plays.

    ``wrong`` are shapes played in place of those asked, by bar from 0 (``None``: nothing);
    ``late`` are beats by which the first chord of a bar comes late, ``pauses`` beats waited before
    it; ``skipped`` are bars left out.  ``wobble`` is how uneven bars are, ``drift`` how much slower
    the end is than the beginning, ``astray`` how far single strings are out of tune in cents,
    ``slips`` how many cents new strings go flat from the first bar to the last,
    ``apart`` the seconds from string to string; ``strums`` are those in a bar, all beats where 0.
    """

    pace: float = 1.0
    cents: float = 0.0
    wrong: dict[int, str | None] = field(default_factory=dict)
    late: dict[int, float] = field(default_factory=dict)
    pauses: dict[int, float] = field(default_factory=dict)
    skipped: frozenset[int] = frozenset()
    astray: float = 0.0
    slips: float = 0.0
    apart: float = 0.008
    drift: float = 0.0
    lead: float = 1.0
    wobble: float = 0.03
    strums: int = 0
    seed: int = 1
    strings: str = "ours"


@lru_cache(maxsize=200)
def string(kind: str, pitch: float, instrument: Instrument, place: int) -> Samples:
    """Return two and a half seconds of one string."""
    if kind == "ours":
        whole = int(np.floor(pitch))
        voice = voices(instrument)["tone"]
        sound = np.asarray(pluck(voice, place, whole, 1, 3, RATE), dtype=np.float64)
        if pitch == whole:
            return sound
        ratio = 2 ** ((pitch - whole) / 12)
        at = np.arange(0, len(sound) - 1, ratio)
        return np.interp(at, np.arange(len(sound)), sound)
    return looped(440 * 2 ** ((pitch - 69) / 12), *KINDS[kind])


_ASTRAY = (1.0, -0.7, 0.4, -1.0, 0.8, -0.3)
# How much of each round is left, how far the two neighbours are mixed, rounds of smoothing before.
KINDS = {"bright": (0.996, 0.25, 0), "dull": (0.992, 0.5, 6), "short": (0.975, 0.4, 1)}


def looped(hertz: float, kept: float, mixed: float, smoothed: int) -> Samples:
    """Return a loop of noise that is averaged with its neighbour each round.

    Karplus & Strong 1983: the loop, here with an allpass by interpolation for its pitch.
    """
    rate = 4 * RATE
    period = rate / hertz - mixed
    whole = int(period)
    noise = np.random.default_rng(int(hertz * 10)).uniform(-1, 1, whole + 2)
    for _ in range(smoothed + 2):
        noise = (noise + np.roll(noise, 1) + np.roll(noise, 2)) / 3
    part = period - whole
    count = int(2.6 * rate)
    sound = np.zeros(count + 2 * whole)
    sound[: whole + 2] = noise
    kept = kept ** (196 / hertz) ** 0.5 if hertz > 196 else kept
    start = whole + 2
    while start < count:
        stop = min(start + whole - 1, count)
        back = sound[start - whole - 2 : stop - whole]
        # Delayed by the fraction too, and averaged.
        late = (1 - part) * back[2:] + part * back[1:-1]
        later = (1 - part) * back[1:-1] + part * back[:-2]
        sound[start:stop] = kept * ((1 - mixed) * late + mixed * later)
        start = stop
    sound = sound[:count]
    # Down to a quarter of the rate through a short average.
    low = np.convolve(sound, np.hanning(11) / np.hanning(11).sum(), "same")[::4]
    return low / np.abs(low).max()


Played = tuple[int, float, float, "Voicing | None"]


def perform(way: Arrangement, how: Playing) -> tuple[Samples, list[Played]]:
    """Return the sound of a student who plays an arrangement, and what was played.

    That is for each step its bar, when it began and ended, and the shape.
    """
    chance = np.random.default_rng(how.seed)
    beat = 60 / way.tempo / how.pace
    clock, strokes = how.lead, []
    truth: list[Played] = []
    for index, played in enumerate(way.tune.playing):
        if index in how.skipped:
            steps = way.bars()[index]
            truth += [(index, clock, clock, None) for step in steps if step.voicing]
            continue
        clock += how.pauses.get(index, 0.0) * beat
        beat *= 1 + how.drift / len(way.tune.playing)
        steps = way.bars()[index]
        beats = [float(step.onset - played.onset) for step in steps]
        length = float(played.bar.length)
        marks = sorted(
            {*beats, *np.arange(0, length, 1.0 if not how.strums else length / how.strums)}
        )
        for first, step in zip(beats, steps, strict=True):
            shape = step.voicing
            if index in how.wrong:
                text = how.wrong[index]
                shape = None if text is None else Voicing.parse(text, way.instrument)
            last = first + float(step.beats)
            truth.append((index, clock + first * beat, clock + last * beat, shape))
        for mark in marks:
            place = max(i for i, b in enumerate(beats) if b <= mark + 1e-9)
            voicing = steps[place].voicing
            if index in how.wrong:
                text = how.wrong[index]
                voicing = None if text is None else Voicing.parse(text, way.instrument)
            late = how.late.get(index, 0.0) if mark == 0 else 0.0
            strokes.append((clock + (mark + late) * beat, voicing, chance.uniform(0.6, 1.0)))
        clock += length * beat * (1 + chance.normal(0, how.wobble))
    strokes.sort(key=lambda stroke: stroke[0])
    total = int((clock + 2.0) * RATE)
    sound = np.zeros(total)
    for number, (at, voicing, loud) in enumerate(strokes):
        after = strokes[number + 1][0] if number + 1 < len(strokes) else at + 2.0
        for place, pitch in enumerate(() if voicing is None else voicing.midi):
            if pitch is not None:
                start = int((at + how.apart * place + chance.normal(0, 0.002)) * RATE)
                off = how.cents + how.astray * _ASTRAY[place % len(_ASTRAY)]
                off -= 3 * round(how.slips * at / clock / 3)
                tone = string(how.strings, round(pitch + off / 100, 3), way.instrument, place)
                stop = min(start + len(tone), int((after + 0.02) * RATE), total)
                fade = np.ones(max(stop - start, 0))
                fade[-220:] *= np.linspace(1, 0, min(220, len(fade)))
                sound[start:stop] += loud * chance.uniform(0.6, 1) * tone[: len(fade)] * fade
    return sound / np.abs(sound).max() * 0.5, truth


def noisy(sound: Samples, decibels: float, seed: int = 3) -> Samples:
    """Return a sound with pink noise so many dB below it."""
    chance = np.random.default_rng(seed)
    white = np.fft.rfft(chance.normal(size=len(sound)))
    pink = np.fft.irfft(white / np.sqrt(np.arange(len(white)) + 50), len(sound))
    heard = sound[np.abs(sound) > 1e-4]
    level = np.sqrt(np.mean(heard**2)) / np.sqrt(np.mean(pink**2))
    return sound + pink * level * 10 ** (-decibels / 20)


def sung(sound: Samples, seed: int = 7, loud: float = 0.7) -> Samples:
    """Return a sound with a voice that hums long notes of C major with vibrato over it."""
    chance = np.random.default_rng(seed)
    time = np.arange(len(sound)) / RATE
    notes = chance.choice([48, 50, 52, 53, 55, 57, 59, 60], int(time[-1] / 1.1) + 2)
    pitch = notes[(time / 1.1).astype(int)] + 0.3 * np.sin(2 * np.pi * 5.5 * time)
    phase = 2 * np.pi * np.cumsum(440 * 2 ** ((pitch - 69) / 12)) / RATE
    voice = sum(np.sin(number * phase) / number**1.5 for number in range(1, 9))
    level = np.sqrt(np.mean(sound**2) / np.mean(voice**2))
    return sound + loud * level * voice


def hummed(way: Arrangement, seed: int = 1) -> Samples:
    """Return a voice that hums the top notes of an arrangement, in its tempo."""
    chance = np.random.default_rng(seed)
    beat = 60 / way.tempo
    steps = [(s.voicing, round(float(s.beats) * beat * RATE)) for s in way.steps]
    pitch = np.concatenate(
        [np.full(long, (max(v.sounding) if v else 60) - 12.0) for v, long in steps]
    )
    pitch = np.convolve(np.pad(pitch, 900, "edge"), np.ones(1801) / 1801, "valid")
    pitch += 0.3 * np.sin(2 * np.pi * 5.5 * np.arange(len(pitch)) / RATE)
    phase = 2 * np.pi * np.cumsum(440 * 2 ** ((pitch - 69) / 12)) / RATE
    voice = sum(np.sin(number * phase) / number**1.5 for number in range(1, 9))
    return 0.3 * voice + 0.003 * chance.normal(size=len(pitch))


def spoken(seconds: float, seed: int = 2) -> Samples:
    """Return what speech is like: a pitch that glides, two formants, a syllable now and then."""
    chance = np.random.default_rng(seed)
    time = np.arange(int(seconds * RATE)) / RATE

    def gliding(low: float, high: float, every: float = 0.18) -> Samples:
        at = np.arange(0, seconds + 2 * every, every)
        return np.interp(time, at, chance.uniform(low, high, len(at)))

    hertz, loud = 120 * 2 ** gliding(-0.4, 0.4, 0.25), gliding(0, 1)
    first, second = gliding(300, 900), gliding(900, 2400)
    phase = 2 * np.pi * np.cumsum(hertz) / RATE
    sound = np.zeros(len(time))
    for number in range(1, 26):
        high = number * hertz
        part = np.exp(-(((high - first) / 120) ** 2))
        part += 0.5 * np.exp(-(((high - second) / 200) ** 2)) + 0.05 / number
        sound += np.sin(number * phase) * part
    return 0.3 * sound * np.where(loud > 0.25, loud, 0) + 0.002 * chance.normal(size=len(time))


def plucked_line(way: Arrangement, kind: str = "bright") -> Samples:
    """Return the top notes of an arrangement, plucked one at a time."""
    beat, clock = 60 / way.tempo, 0.0
    sound = np.zeros(round((float(sum(s.beats for s in way.steps)) * beat + 3) * RATE))
    for step in way.steps:
        if step.voicing is not None:
            tone = string(kind, float(max(step.voicing.sounding)), way.instrument, 0)
            start, long = round(clock * RATE), round(float(step.beats) * beat * RATE)
            sound[start : start + long] += tone[:long][: len(sound) - start]
        clock += float(step.beats) * beat
    return sound / np.abs(sound).max() * 0.5


def counted_in(sound: Samples, seed: int = 9) -> Samples:
    """Return a sound after four clicks of wood and a murmur, such as speech has."""
    chance = np.random.default_rng(seed)
    before = np.zeros(4 * RATE)
    click = np.exp(-np.arange(900) / 120) * chance.normal(size=900)
    for beat in range(4):
        before[beat * 14_000 + 3_000 : beat * 14_000 + 3_900] += 0.5 * click
    murmur = np.convolve(chance.normal(size=2 * RATE), np.hanning(40), "same")
    murmur *= np.repeat(chance.uniform(0, 1, 42), RATE // 20)[: len(murmur)]
    before[RATE : 3 * RATE] += 0.05 * murmur
    return np.concatenate((before, sound))


def roomy(sound: Samples, seconds: float = 1.6, wet: float = 0.7, seed: int = 5) -> Samples:
    """Return a sound in a room that rings for so long (60 dB)."""
    chance = np.random.default_rng(seed)
    time = np.arange(int(seconds * RATE)) / RATE
    tail = chance.normal(size=len(time)) * 10 ** (-3 * time / seconds)
    tail *= wet / np.sqrt((tail**2).sum())
    tail[0] = 1.0
    size = 1 << (len(sound) + len(tail)).bit_length()
    wetted = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(tail, size), size)[: len(sound)]
    return wetted / np.abs(wetted).max() * 0.5


def phoned(sound: Samples) -> Samples:
    """Return a sound as a telephone hands it on: 300 to 3400 Hz, 8 bits by the mu law."""
    spectrum = np.fft.rfft(sound)
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    spectrum[(hertz < 300) | (hertz > 3400)] = 0
    band = np.fft.irfft(spectrum, len(sound))
    band /= np.abs(band).max()
    pressed = np.sign(band) * np.log1p(255 * np.abs(band)) / np.log(256)
    pressed = np.rint(pressed * 127) / 127
    return 0.5 * np.sign(pressed) * (256 ** np.abs(pressed) - 1) / 255
