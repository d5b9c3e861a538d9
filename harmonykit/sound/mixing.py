"""All that sounds in a performance, put together in blocks: left and right, in a small room.

Conventions.  Rows are the left and the right; samples are floats at ``rate`` a second.  A room is a
noise that dies away, dulled, with some single answers before it (Moorer 1979); what answers is the
same for all of a performance, so it is one convolution, done in blocks.

A block has a row for each sample, left and right.  Every distinct pluck is made once and put in
wherever it sounds.  In a performance that goes round, what rings over the end is put in at the
start: many rounds in a row are one sound without a seam.

References
----------
J. A. Moorer, "About This Reverberation Business", Computer Music Journal 3/2 (1979) 13-28: noise
that dies away as the answer of a room.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from harmonykit.fretboard.strings.neck import Neck
from harmonykit.sound.noise import Samples, beat, white
from harmonykit.sound.performance import BASS, CLICK, HIGH_BLOCK, TONE, Event, Performance
from harmonykit.sound.pluck import click, layer_of, long_enough, partials, pluck
from harmonykit.sound.strung import Voice, drum, table, voices
from harmonykit.values import dataclass

Answers = tuple[Samples, Samples]
_SEEDS = (11, 12)
_SIDES = ("left", "right")


def answers(instrument: Neck | None, rate: int) -> Answers:
    """Return what answers to strings, and to all else, each as two rows of samples."""
    room = _room(rate)
    along = _along(voices(instrument)["tone"], rate).copy()
    along[:, : room.shape[1]] += room
    return along, room


@lru_cache(maxsize=4)
def _room(rate: int) -> Samples:
    """Return a room's answer; it is read-only."""
    room = table()["room"]
    count = int(room["length"] * rate)
    time = np.arange(count) / rate
    fall = np.exp(-math.log(1000) / room["fall"] * time) * (time >= room["first"])
    found = np.zeros((2, count))
    for row, side, seed in zip(found, _SIDES, _SEEDS, strict=True):
        tail = _dulled(white(count, seed) * fall, room["dull_hz"], rate)
        # As much energy as single answers of the sizes that are told have together.
        row += tail / math.sqrt(float((tail**2).sum()))
        for seconds, size in room[side]:
            row[round(seconds * rate)] += size
    found *= room["level"]
    found.flags.writeable = False
    return found


def _dulled(sound: Samples, hz: float, rate: int) -> Samples:
    """Return a sound whose parts above a frequency are weaker: a filter of the first order."""
    keep = math.exp(-2 * math.pi * hz / rate)
    last, found = 0.0, np.empty(len(sound))
    for index, value in enumerate(sound.tolist()):
        last = (1 - keep) * value + keep * last
        found[index] = last
    return found


@lru_cache(maxsize=8)
def _along(voice: Voice, rate: int) -> Samples:
    """Return what the open strings answer; it is read-only."""
    room = table()["room"]
    time = np.arange(int(room["ring"] * rate)) / rate
    found = np.zeros((2, len(time)))
    for strand in voice.strands:
        side = np.array(panned(strand.pan))[:, None]
        hz, lost = (each[: room["partials"], None] for each in partials(strand, strand.hz, rate))
        rings = np.exp(-lost * time) * np.sin(2 * np.pi * hz * time)
        found += side * (2 * lost / rate * rings).sum(axis=0)
    # What is cut off at the end is nothing by then.
    found *= room["along"] * np.minimum(1, 3 * (1 - np.arange(len(time)) / len(time)))
    found.flags.writeable = False
    return found


def panned(pan: float) -> tuple[float, float]:
    """Return how loud the left and the right are: together the same power wherever it is.

    Examples
    --------
    >>> [round(side, 3) for side in panned(0.0)], panned(-1.0)
    ([0.707, 0.707], (1.0, 0.0))
    """
    turn = (pan + 1) * math.pi / 4
    return math.cos(turn), math.sin(turn)


class Answering:
    """Adds to sounds, block after block, what answers to them; it keeps no more than its tail.

    Parameters
    ----------
    found : tuple of array
        For each of the rows that are sent, what answers to it.
    block : int
        How many samples a block has at most.
    """

    def __init__(self, found: Answers, block: int) -> None:
        self._longest = max(one.shape[1] for one in found)
        self._size = _fast(block + self._longest)
        self._through = [
            np.fft.rfft(one.astype(np.float32), self._size).astype(np.complex64) for one in found
        ]
        self._tail = np.zeros((2, self._longest), np.float32)

    def answer(self, sent: Samples) -> Samples:
        """Return what is heard of the room while some samples are sent, a row for each answer."""
        count = sent.shape[1]
        spectrum: NDArray[Any] = np.zeros((2, self._size // 2 + 1), np.complex64)
        for row, through in zip(sent, self._through, strict=True):
            if row.any():
                spectrum += np.fft.rfft(row, self._size) * through
        found = np.fft.irfft(spectrum, self._size).astype(np.float32, copy=False)
        found[:, : self._longest] += self._tail
        self._tail = found[:, count : count + self._longest].copy()
        return found[:, :count]


def _fast(size: int) -> int:
    """Return a size, no smaller, whose transform is quick."""
    whole: int = 1 << (size - 1).bit_length()
    return min(each for each in (whole * 5 // 8, whole * 3 // 4, whole) if each >= size)


BLOCK = 1 << 17
# What is over fades out in this time; the whole, in that.
RELEASE, _LAST = 0.03, 0.25
# Rows of a block: left, right, and what is sent to the room: of strings, and of all else.
_ROWS, _SENT = 4, 2


def mixed(performance: Performance, rate: int) -> Iterator[Samples]:
    """Yield the mix of a performance in blocks, as loud as it happens to be."""
    total = round(performance.seconds * rate)
    parts = list(_parts(performance, rate, total))
    found = answers(performance.instrument, rate)
    answering = Answering(found, BLOCK)
    if performance.around and total:
        before = _cyclic(parts, total, found[0].shape[1])
        for begun in range(0, before.shape[1], BLOCK):
            answering.answer(before[_SENT:, begun : begun + BLOCK])
    for begun, rows in _blocks(parts, 0, total):
        heard = rows[:_SENT] + answering.answer(rows[_SENT:])
        if not performance.around:
            _end(heard, begun, total, rate)
        yield heard.T


def _end(heard: Samples, begun: int, total: int, rate: int) -> None:
    """Let the end of the whole fade out."""
    last = min(int(_LAST * rate), total)
    fading = max(total - last, begun)
    if begun + heard.shape[1] > fading:
        place = np.arange(fading, begun + heard.shape[1]) - (total - last)
        fade = 0.5 + 0.5 * np.cos(np.pi * place / last)
        heard[:, fading - begun :] *= fade.astype(np.float32)


def _cyclic(parts: Sequence[_Part], total: int, count: int) -> Samples:
    """Return what sounds before the start of a round: the end of those before it."""
    blocks = [rows for _, rows in _blocks(parts, max(total - count, 0), total)]
    once = np.concatenate(blocks, axis=1)
    again = -(-count // once.shape[1])
    return np.tile(once, again)[:, -count:]


@dataclass(frozen=True, slots=True)
class _Part:
    """Where an event sounds without a break: from sample to sample, ``skipped`` of it before."""

    start: int
    stop: int
    skipped: int
    note: _Note

    def add_to(self, rows: Samples, begun: int) -> None:
        """Add what sounds within a block that begins at a sample."""
        first, last = max(self.start, begun), min(self.stop, begun + rows.shape[1])
        since = self.skipped + first - self.start
        sound = self.note.sounded(since, since + last - first)
        inside = slice(first - begun, last - begun)
        for row, size in enumerate(self.note.sides):
            rows[row, inside] += sound * np.float32(size)
        rows[self.note.sent, inside] += sound


@dataclass(frozen=True, slots=True)
class _Note:
    """An event as samples: which, how many, how loud, how loud on each side, where it is sent."""

    source: Samples
    count: int
    release: int
    loud: float
    sides: tuple[float, float]
    sent: int

    @classmethod
    def of(cls, event: Event, instrument: Neck | None, rate: int) -> _Note:
        """Return an event as samples."""
        source, pan = sounding(event, instrument, rate)
        count = min(max(round(event.length * rate), 0), len(source))
        release = min(int(RELEASE * rate), count)
        loud = (event.velocity / 127) ** 1.5
        sent = _SENT + (event.kind not in (TONE, BASS))
        return cls(source, count, release, loud, panned(pan), sent)

    def sounded(self, first: int, last: int) -> Samples:
        """Return what is heard from one of its samples to another; its end fades out."""
        sound: Samples = self.source[first:last] * np.float32(self.loud)
        fading = max(self.count - self.release, first)
        if last > fading:
            fade = _fade(self.release)[fading - self.count + self.release :]
            sound[fading - first :] *= fade[: last - fading]
        return sound


@lru_cache(maxsize=64)
def _fade(count: int) -> Samples:
    return np.linspace(1.0, 0.0, count, dtype=np.float32)


def sounding(event: Event, instrument: Neck | None, rate: int) -> tuple[Samples, float]:
    """Return what an event sounds like, and where: -1 left, 1 right."""
    if event.kind == CLICK:
        return click(high=event.midi == HIGH_BLOCK, rate=rate), 0.0
    if event.kind not in (TONE, BASS):
        return beat(event.midi, rate), drum(event.midi).pan
    voice, string = voiced(event, instrument)
    layer, seconds = layer_of(event.velocity), long_enough(event.length)
    pan = voice.pan
    if string is not None:
        pan += voice.strand_of(string, event.midi).pan
    return pluck(voice, string, event.midi, layer, seconds, rate), pan


def voiced(event: Event, instrument: Neck | None) -> tuple[Voice, int | None]:
    """Return what plucks a tone, and on which string."""
    kind = "melody" if event.kind == TONE and event.string is None else event.kind
    return voices(instrument)[kind], event.string if event.kind == TONE else None


def _blocks(parts: Sequence[_Part], first: int, last: int) -> Iterator[tuple[int, Samples]]:
    """Yield what sounds from a sample to another; what sounds at once is added in one order."""
    waiting = sorted(range(len(parts)), key=lambda index: -parts[index].start)
    sounding: set[int] = set()
    for begun in range(first, last, BLOCK):
        rows = np.zeros((_ROWS, min(BLOCK, last - begun)), np.float32)
        end = begun + rows.shape[1]
        while waiting and parts[waiting[-1]].start < end:
            sounding.add(waiting.pop())
        sounding = {index for index in sounding if parts[index].stop > begun}
        for index in sorted(sounding):
            parts[index].add_to(rows, begun)
        yield begun, rows


def _parts(performance: Performance, rate: int, total: int) -> Iterator[_Part]:
    for event in performance.events:
        note = _Note.of(event, performance.instrument, rate)
        start, left = round(event.onset * rate), note.count
        if not performance.around:
            left = min(left, total - start)
        skipped = 0
        while left > 0 and total:
            start = start % total if performance.around else start
            now = min(left, total - start)
            yield _Part(start, start + now, skipped, note)
            start, skipped, left = start + now, skipped + now, left - now
