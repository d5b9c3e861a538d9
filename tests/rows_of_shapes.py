"""Arrangements typed as rows of shapes, for tests that count by hand."""

from __future__ import annotations

from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune


def row(changes: str, *typed: str, instrument: str = "ukulele", key: str = "C") -> Arrangement:
    """Return an arrangement of steps typed as ``chord shape quarters move``.

    A step without a shape (``-``) is silence; what the tune has there is the chord as written.
    """
    tune, strings = Tune.parse(changes, key=key), Instrument.named(instrument)
    steps, onset = [], Fraction(0)
    for text in typed:
        symbol, digits, quarters, *move = text.split(maxsplit=3)
        bar = max(i for i, played in enumerate(tune.playing) if played.onset <= onset)
        written = next(c.chord for c in reversed(tune.changes) if c.onset <= onset)
        silent = digits == "-"
        steps.append(
            Step(
                None if silent else Chord.parse(symbol),
                None if silent else Voicing.parse(digits, strings),
                onset,
                Fraction(quarters),
                bar,
                "".join(move),
                written=written,
            )
        )
        onset += Fraction(quarters)
    return Arrangement(tune, strings, tuple(steps), 0, 120)
