"""Small arrangements written out by hand."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.bar import bar_length
from harmonykit.tune.groove.value import Groove, plain
from harmonykit.tune.tune import Bar, Section, Tune

Arranged = Callable[..., Arrangement]


def _arranged(
    bars: str,
    meter: tuple[int, int] = (4, 4),
    tempo: float = 120,
    instrument: str = "ukulele",
    pickup: Fraction | None = None,
    key: str = "C",
    groove: Groove | None = None,
) -> Arrangement:
    """Return an arrangement of bars such as ``"C=0003 F:3=2010 | NC"``.

    Each chord starts at the quarter after its colon, or at 0; ``NC`` is silence.  It is strummed on
    every beat exactly, unless a groove is given.
    """
    strings = Instrument.named(instrument)
    written: list[Bar] = []
    steps: list[Step] = []
    onset = Fraction(0)
    for index, text in enumerate(bars.split("|")):
        length = pickup if pickup and index == 0 else bar_length(meter)
        found = [_chord(word, strings) for word in text.split()]
        bar = Bar.of(meter, [(chord, at) for chord, _, at in found], length)
        written.append(bar)
        for change, (chord, shape, at) in zip(bar.changes, found, strict=True):
            step = Step(chord, shape, onset + at, change.beats, index, written=chord)
            steps.append(step)
        onset += length
    tune = Tune("Ebb at the Weir", Key.parse(key), meter, tempo, (Section("A", tuple(written)),))
    strummed = plain(meter).exact if groove is None else groove
    return Arrangement(tune, strings, tuple(steps), 0, tempo, groove=strummed)


def _chord(word: str, strings: Instrument) -> tuple[Chord | None, Voicing | None, Fraction]:
    name, _, frets = word.partition("=")
    symbol, _, at = name.partition(":")
    place = Fraction(at or 0)
    if symbol == "NC":
        return None, None, place
    return Chord.parse(symbol), Voicing.parse(frets, strings), place


@pytest.fixture(scope="session")
def arranged() -> Arranged:
    """Return a maker of arrangements from bars written as text."""
    return _arranged


def played_plainly(tune: Tune, digits: str = "0003", instrument: str = "ukulele") -> Arrangement:
    """Return a tune with its own chords, all of them in one shape."""
    strings = Instrument.named(instrument)
    shape = Voicing.parse(digits, strings)
    steps = [
        Step(
            each.chord,
            None if each.chord is None else shape,
            played.onset + each.at,
            each.beats,
            index,
            written=each.chord,
        )
        for index, played in enumerate(tune.playing)
        for each in played.bar.changes
    ]
    return Arrangement(tune, strings, tuple(steps), 0, tune.tempo, groove=plain(tune.meter).exact)
