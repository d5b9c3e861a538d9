"""All shapes of 144 chords against plain brute force: ratios within one run; milliseconds a chord.

Brute force tries every fret on every string.  On a guitar whose strings may be muted that is 14 to
the sixth power of shapes a chord, which hardly depends on the chord: it is timed on a few chords
and taken to be the same on the others.  Times are those of the processor, so that other work on the
machine does not count.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Iterator
from itertools import product

import pytest
from measured import measured

from harmonykit.fretboard.hands import holding
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

ROOTS = "C Db D Eb E F F# G Ab A Bb B".split()
QUALITIES = ["", "m", "7", "maj7", "m7", "m7b5", "dim7", "6", "m6", "7b5", "7#5", "7sus4"]
CHORDS = [Chord.of(root, quality) for root in ROOTS for quality in QUALITIES]
MAX_FRET, MAX_SPAN = 12, 3

Shape = tuple[int | None, ...]


def brute_force(chord: Chord, instrument: Instrument, mutes: bool) -> Iterator[Shape]:
    """Yield every shape that sounds all of a chord and nothing else, having tried them all."""
    wanted, strings = set(chord.pcs), instrument.midi
    frets: list[int | None] = [*([None] if mutes else []), *range(MAX_FRET + 1)]
    for shape in product(frets, repeat=len(strings)):
        sounding = {(s + f) % 12 for s, f in zip(strings, shape, strict=True) if f is not None}
        if sounding == wanted:
            fretted = [fret for fret in shape if fret]
            if not fretted or max(fretted) - min(fretted) <= MAX_SPAN:
                yield shape


def timed_brute_force(instrument: Instrument, mutes: bool, chords: list[Chord]) -> float:
    """Return the seconds a chord, having checked that both ways find the same shapes."""
    spans = []
    for chord in chords:
        begun = time.process_time()
        every = set(brute_force(chord, instrument, mutes))
        spans.append(time.process_time() - begun)
        found = find_voicings(
            chord,
            instrument,
            MAX_FRET,
            playable=False,
            wanted=Wanted(max_span=MAX_SPAN, mutes=mutes),
        )
        assert {shape.frets for shape in found} == every
    return statistics.median(spans)


def timed_search(instrument: Instrument, mutes: bool, **asked: object) -> list[float]:
    """Return the seconds of each chord, none of whose shapes was ever looked at."""
    wanted = Wanted(max_span=MAX_SPAN, mutes=mutes)
    spans = []
    for chord in CHORDS:
        holding._can_hold.cache_clear()
        begun = time.process_time()
        find_voicings(chord, instrument, MAX_FRET, **asked, wanted=wanted)  # type: ignore[arg-type]
        spans.append(time.process_time() - begun)
    return spans


# Chords that the guitar's brute force is timed on: of three tones, of four, symmetrical.
FEW = [Chord.parse(symbol) for symbol in ("C", "Dbdim7")]


@pytest.mark.parametrize(
    ("name", "mutes", "chords", "ratio"),
    [("ukulele", False, CHORDS[::6], 10), ("guitar", True, FEW, 50)],
)
def test_all_shapes_are_found_faster_than_by_brute_force(
    name: str, mutes: bool, chords: list[Chord], ratio: int
) -> None:
    instrument = Instrument.named(name)
    theirs = timed_brute_force(instrument, mutes, chords)
    ours = timed_search(instrument, mutes, playable=False)
    held = timed_search(instrument, mutes)
    level = timed_search(instrument, mutes, limits=limits_at(2, instrument))
    faster = theirs * len(CHORDS) / sum(ours)
    each = sum(ours) / len(CHORDS) * 1e3
    measured(
        f"all shapes of a chord on {name}", each, "ms", beside=("brute force", theirs * 1e3),
        least=ratio,
    )  # fmt: skip
    for what, spans in (("all shapes", ours), ("held by a wide hand", held), ("level 2", level)):
        mean, most = statistics.mean(spans) * 1e3, max(spans) * 1e3
        measured(f"shapes on {name}, {what}: mean", mean, "ms a chord")
        measured(f"shapes on {name}, {what}: at most", most, "ms a chord")
    assert faster >= ratio


def test_a_shape_is_made_again_in_microseconds() -> None:
    """What a control that is dragged asks of one shape: pitches, fingers, digits."""
    guitar = Instrument.named("guitar")
    shapes = [
        shape.frets for shape in find_voicings(Chord.parse("G7"), guitar, wanted=Wanted(mutes=True))
    ]
    holding._fit.cache_clear()
    begun = time.process_time()
    for frets in shapes:
        shape = Voicing(guitar, frets)
        assert shape.midi and shape.fingers and shape.digits
    each = (time.process_time() - begun) / len(shapes)
    measured("a shape with pitches, fingers and digits", each * 1e6, "µs")
