"""How high and how low a melody may lie on the neck, and in which octave it lies best."""

from __future__ import annotations

from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.tune import Tune

_FULL = 4
# Below B3 a melody lies over a thick chord; fingers lie easily up to this fret.
_LOWEST_MELODY, _EASY_FRET = 59, 12
_OCTAVES = (0, -1, 1, -2, 2)


def raised_by(tune: Tune, instrument: Instrument, limits: Limits) -> int:
    """Return the least transposition in which every note can be on top of all strings."""
    pitches = [sung.note.midi for sung in tune.melody]
    lowest, highest = _reach(instrument, limits)
    for up in range(12 * 4):
        if min(pitches) + up >= lowest:
            return up if max(pitches) + up <= highest else -1
    return -1


def best_octave(tune: Tune, instrument: Instrument, limits: Limits) -> int:
    """Return the octave for a tune in which it lies best; as written, if no other is better.

    A note that lies low or high counts one against it, one that cannot be played ten.
    """
    lowest, highest = min(instrument.midi), _reach(instrument, limits)[1]
    above = min(highest, max(instrument.midi) + _EASY_FRET)
    easy = range(max(lowest, _LOWEST_MELODY), above + 1)

    def against(octave: int) -> int:
        pitches = [sung.note.midi + 12 * octave for sung in tune.melody]
        return sum((pitch not in easy) + 9 * (not lowest <= pitch <= highest) for pitch in pitches)

    return min(_OCTAVES, key=against)


def _reach(instrument: Instrument, limits: Limits) -> tuple[int, int]:
    """Return the lowest and the highest pitch that can be on top of all strings, or of four."""
    opened = instrument.midi
    lowest = max(opened) if len(opened) <= _FULL else _lowest_of_four(instrument)
    top, starts = min(limits.max_fret, instrument.frets), instrument.starts or (0,) * len(opened)
    return lowest, max(pitch + top - start for pitch, start in zip(opened, starts, strict=True))


def _lowest_of_four(instrument: Instrument) -> int:
    """Return the lowest top of four neighbouring strings, all open."""
    strings = instrument.midi
    return min(max(strings[n : n + _FULL]) for n in range(len(strings) - _FULL + 1))
