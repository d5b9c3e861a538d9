"""Where a lesson starts: every shape of an instrument is tried, and the neck is climbed."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.nearest import scale_of_chords
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan import starts
from harmonykit.lesson.plan.model import Front, LessonError
from harmonykit.lesson.plan.shown import may_show
from harmonykit.theory.chord import Chord
from harmonykit.theory.scale import SixthDiminished

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
UKULELE = Instrument.named("ukulele")


@pytest.fixture(scope="module")
def front(root: Path) -> Front:
    return load_lesson(root / "data" / "lessons" / "scale_of_chords.md").front


def whole_shapes(chord: Chord, neck: Instrument) -> list[Voicing]:
    """Return every shape of all tones up to fret 7 on four strings beside each other.

    Its pressed strings lie within four frets, a finger for each; on strings a fifth apart, whose
    frets are small, within six.
    """
    found = []
    span = 5 if neck.name == "mandolin" else 3
    for first in range(len(neck.midi) - 3):
        four = [
            [fret for fret in range(8) if (open_ + fret) % 12 in chord.pcs]
            for open_ in neck.midi[first : first + 4]
        ]
        for frets in product(*four):
            row = (*[None] * first, *frets, *[None] * (len(neck.midi) - first - 4))
            shape = Voicing(neck, row)
            pressed = [fret for fret in frets if fret]
            if shape.pcs == chord.pcs and max(pressed, default=0) - min(pressed, default=0) <= span:
                found.append(shape)
    return found


def rank(shape: Voicing, neck: Instrument) -> tuple[int, int, float, str] | None:
    """Return how soon a shape comes; None where no hand holds it.

    The lowest first, a barre as good as two frets; then the one on the highest strings, then the
    one that stretches least (common practice, no source).
    """
    held = fit(shape.frets, neck, limits_at(3, neck))
    if not held:
        return None
    silent = sum(fret is None for fret in shape.frets[-4:])
    high = max(fret for fret in shape.frets if fret is not None)
    return high + 2 * len(held.barres), silent, shape.stretch_mm, shape.digits


def first_of(shapes: list[Voicing], neck: Instrument) -> Voicing | None:
    ranked = [(place, shape) for shape in shapes if (place := rank(shape, neck))]
    return min(ranked, key=lambda pair: pair[0])[1] if ranked else None


@pytest.mark.parametrize("name", ["ukulele", "guitar", "mandolin"])
@pytest.mark.parametrize("kind", ["dim7", "6", "m6", "7"])
def test_a_lesson_starts_from_the_lowest_shape_without_an_open_string(name: str, kind: str) -> None:
    neck = Instrument.named(name)
    for root in ROOTS:
        chord = Chord.parse(root + kind)
        shapes = [each for each in whole_shapes(chord, neck) if 0 not in each.frets]
        wanted = first_of(shapes, neck)
        if wanted is None:
            with pytest.raises(LessonError, match="has no shape to start from"):
                starts.movable_shape(chord, neck)
            assert starts.shape_of(chord, neck) == starts.usual_shape(chord, neck)
        else:
            assert starts.movable_shape(chord, neck) == wanted
            assert starts.shape_of(chord, neck) == wanted


@pytest.mark.parametrize("name", ["ukulele", "guitar"])
@pytest.mark.parametrize("root", ["C", "Eb", "F#", "A"])
def test_a_climb_starts_from_the_lowest_shape_that_can_be_carried(name: str, root: str) -> None:
    """Open strings may sound in it: carried up they are pressed."""
    neck, scale = Instrument.named(name), SixthDiminished(root)

    def climbs(shape: Voicing) -> bool:
        try:
            return len(scale_of_chords(scale, shape, 4)) == 5
        except ValueError:
            return False

    shapes = [each for each in whole_shapes(scale.chord, neck) if climbs(each)]
    assert starts.climbing_shape(scale, neck) == first_of(shapes, neck)


def test_what_has_no_shape_is_told_with_a_way_out() -> None:
    """On three strings no chord has four tones."""
    neck = Instrument.parse("D3 A3 D4", "stick")
    with pytest.raises(LessonError) as caught:
        starts.movable_shape(Chord.parse("Adim7"), neck)
    error = caught.value
    assert error.what == "Adim7 has no shape to start from on the stick"
    assert error.rule == "all its tones on neighbouring strings, up to fret 7"
    assert error.mend == "a shape in the lesson's file, or another instrument"
    # A triad has a shape on three.
    three = Instrument.parse("C4 E4 A4", "three")
    assert starts.movable_shape(Chord.parse("F"), three).digits == "5-5-3"


def test_a_climb_ends_at_the_twelfth_fret_or_on_the_octave(front: Front) -> None:
    """Eight steps lead to the octave, which is nine shapes."""
    ends = set()
    for root in ROOTS:
        scale = SixthDiminished(root)
        start = starts.climbing_shape(scale, UKULELE)
        shapes = starts.climb(replace(front, instrument=UKULELE, scale=scale, scale_shape=start))
        assert tuple(each.shape for each in shapes) == scale_of_chords(
            scale, start, len(shapes) - 1
        )
        assert all(each.shape.highest_fret <= 12 for each in shapes)
        if len(shapes) < 9:
            later = scale_of_chords(scale, start, len(shapes))[-1]
            assert later.highest_fret > 12
        ends.add((len(shapes), shapes[-1].shape.highest_fret))
    assert max(count for count, _ in ends) == 9 and 12 in {high for _, high in ends}


def test_a_walk_goes_up_string_by_string_in_their_order(front: Front) -> None:
    digits = starts.walk(front, Chord.parse("Bdim7"))
    first, *others = (Voicing.parse(each, front.instrument).frets for each in digits)
    sounding = [string for string, fret in enumerate(first) if fret is not None]
    for count, frets in enumerate(others, 1):
        raised = sounding[:count]
        assert frets == tuple(
            fret + (string in raised) if fret is not None else None
            for string, fret in enumerate(first)
        )
    # On three strings nothing can be walked: there is no shape to begin with.
    stick = replace(front, instrument=Instrument.parse("D3 A3 D4", "stick"))
    assert starts.walk(stick, Chord.parse("Bdim7")) == ()


@pytest.mark.parametrize(
    ("shape", "before", "after", "led"),
    [
        # B D F A flat: B rises to C, D to C or E, F falls to E, A flat to G.
        ("1212", "Bdim7", "C", "0-0-0-3"),
        # An open string cannot fall: of D flat 7 the F would go to E below the nut of e.
        ("0101", "Gdim7", "Ab7", None),
    ],
)
def test_every_voice_goes_to_its_nearest_tone(
    shape: str, before: str, after: str, led: str | None
) -> None:
    found = starts.led_shape(Voicing.parse(shape, UKULELE), Chord.parse(before), Chord.parse(after))
    assert (found and found.digits) == led


def test_what_is_heard_of_chords_is_the_lessons_own_or_lies_lowest(front: Front) -> None:
    """A lowered string of the lesson's diminished seventh is heard where it is that chord."""
    shape, chord = Voicing.parse("2323", UKULELE), Chord.parse("Adim7")
    own = replace(front, instrument=UKULELE, shape=shape, shape_chord=chord, scale_shape=None)
    # A string of A dim7 a fret lower: D7 is 2-2-2-3, F7 2-3-1-3 (as above the tests of lowered).
    heard = starts.shapes_heard(own, [Chord.parse(name) for name in ("D7", "F7", "Adim7", "G7")])
    assert heard[:3] == ("2-2-2-3", "2-3-1-3", "2-3-2-3")
    assert heard[3] == starts.movable_shape(Chord.parse("G7"), UKULELE).digits
    # Another chord's shape is not lowered.
    plain = replace(own, shape_chord=Chord.parse("C6"), shape=Voicing.parse("0000", UKULELE))
    assert starts.shapes_heard(plain, [Chord.parse("C6")]) == ("0-0-0-0",)


@pytest.mark.parametrize("symbol", ["C9", "G13", "Fmaj9", "Bb9"])
def test_a_chord_of_more_tones_than_strings_starts_from_its_most_usual_shape(symbol: str) -> None:
    """No shape of four strings has five tones: what a chord book has first is taken."""
    chord = Chord.parse(symbol)
    with pytest.raises(LessonError):
        starts.movable_shape(chord, UKULELE)
    shape = starts.shape_of(chord, UKULELE)
    assert shape == starts.usual_shape(chord, UKULELE)
    assert shape.pcs < chord.pcs and may_show(shape, chord)
