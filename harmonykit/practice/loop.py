"""A change of shapes as a loop of two bars to play along with: a bar of each, in quarters."""

from __future__ import annotations

from collections.abc import Iterator

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice.rounds import FASTEST, SLOWEST
from harmonykit.practice.theme import instrument_of
from harmonykit.sound.chords import RATE, Clip
from harmonykit.sound.performance import (
    CLICK,
    HIGH_BLOCK,
    LOW_BLOCK,
    TONE,
    Event,
    Performance,
)
from harmonykit.sound.rendering import Sound, wav_bytes
from harmonykit.theory.key import Key

BEATS, MOST_ROUNDS = 4, 16
_RING, _APART = 0.8, 0.012
_SOFT, _LOUD = 70, 90


def change_loop(
    before: str, after: str, instrument: str = "ukulele", tempo: int = 50, rounds: int = 4
) -> Clip:
    """Return two shapes in turn, a bar of four quarters each, after a bar of clicks.

    Parameters
    ----------
    before, after : str
        The shapes: ``"0-0-0-0"``.
    instrument : str
        A name, or strings such as ``"G4 C4 E4 A4"``.
    tempo : int
        Quarters a minute.
    rounds : int
        How often the two bars come.

    Returns
    -------
    Clip
        ``wav`` are the bytes of a WAV file.

    Raises
    ------
    HarmonyError
        If the tempo or the rounds are out of range, or a shape is none of the instrument.

    Examples
    --------
    >>> hk.practice.change_loop("0-0-0-0", "0-2-1-2", tempo=60, rounds=1).seconds
    12.8
    """
    if not SLOWEST <= tempo <= FASTEST:
        raise HarmonyError(f"a tempo of {tempo} is out of range", rule=f"{SLOWEST} to {FASTEST}")
    if not 1 <= rounds <= MOST_ROUNDS:
        raise HarmonyError(f"{rounds} rounds are out of range", rule=f"1 to {MOST_ROUNDS}")
    neck = instrument_of(instrument)
    shapes = [Voicing.parse(each, neck).sounding for each in (before, after)]
    beat, bars = 60 / tempo, 1 + 2 * rounds
    events = tuple(_events(shapes, beat, bars))
    seconds = round(bars * BEATS * beat + _RING, 3)
    starts = tuple((bar, bar * BEATS * beat) for bar in range(bars))
    played = Performance(
        events, seconds, float(tempo), (4, 4), BEATS * beat, starts, (), (), Key.parse("C")
    )
    return Clip(wav_bytes(Sound(played, RATE, channels=1)), seconds)


def _events(shapes: list[tuple[int, ...]], beat: float, bars: int) -> Iterator[Event]:
    """Give the click of every beat, and from the second bar on the shapes in turn."""
    for place in range(bars * BEATS):
        start, first = place * beat, place % BEATS == 0
        block = HIGH_BLOCK if first else LOW_BLOCK
        yield Event(start, 0.05, block, None, CLICK, _LOUD if first else _SOFT)
        if place >= BEATS:
            for n, midi in enumerate(shapes[(place // BEATS - 1) % 2]):
                late = n * _APART
                ring = beat + (_RING if place == bars * BEATS - 1 else 0.0)
                yield Event(start + late, ring - late, midi, None, TONE, _LOUD if first else _SOFT)
