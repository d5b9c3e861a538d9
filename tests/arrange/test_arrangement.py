"""Steps and arrangements as values."""

from __future__ import annotations

from fractions import Fraction

from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")


def step(symbol: str, digits: str, onset: int, beats: int, bar: int, move: str = "") -> Step:
    voicing = Voicing.parse(digits, UKULELE)
    return Step(Chord.parse(symbol), voicing, Fraction(onset), Fraction(beats), bar, move)


def example() -> Arrangement:
    steps = (
        step("C6", "0000", 0, 2, 0),
        step("G#dim7", "1212", 2, 2, 0, "approach"),
        step("Am7", "0000", 4, 4, 1),
        Step(None, None, Fraction(8), Fraction(4), 2),
    )
    return Arrangement(tune_of("| C6 | Am7 | N.C. |"), UKULELE, steps, 0, 120)


def test_what_sounds_and_what_was_put_in() -> None:
    found = example()
    assert len(found.sounding) == 3
    assert [str(s.chord) for s in found.inserted] == ["G#dim7"]
    assert [shape.digits for shape in found.shapes] == ["0-0-0-0", "1-2-1-2"]
    assert [len(bar) for bar in found.bars()] == [2, 1, 1]


def test_a_step_sounds_its_sorted_pitches() -> None:
    """Open strings of a re-entrant instrument: G4 C4 E4 A4."""
    first, *_, silent = example().steps
    assert first.sounds == (60, 64, 67, 69) and silent.sounds == ()
    assert first.told("Because.").reason == "Because." and first.reason == ""


def test_arrangements_are_values() -> None:
    assert example() == example() and hash(example()) == hash(example())
