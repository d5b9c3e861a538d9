"""What a player would say of the search: lines, endings, texture, harmony, what is left alone.

The tunes are invented; what is expected is common practice, no source, and written by hand.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import groupby, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from small_tunes import EAGER, tune_of, tunes

from harmonykit.arrange.line_figures import line
from harmonykit.arrange.measures import measure
from harmonykit.arrange.moves import MOVES, USUAL, Variant, as_written
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.part_prices import PartPrices
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.styles import CONTOURS, line_of
from harmonykit.arrange.unusual import row_bits
from harmonykit.arrange.walks import ABOVE, BELOW, RESOLVED, ending_of
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Tune

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
TURNAROUND = (
    "| C6 | Am7 | Dm7 | G7 | C6 | Am7 | Dm7 | G7 | C6 | C7 | F6 | Fm6 | C6 | G7 | C6 | C6 |"
)
BLUES = "| F7 | Bb7 | F7 | F7 | Bb7 | Bb7 | F7 | D7 | Gm7 | C7 | F7 | C7 |"
REAL = [TURNAROUND, BLUES, "| Am | Dm7 | E7 | Am | F6 | C6 | E7 | Am |"]


# The three endings -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after", "target", "ending"),
    [
        # B diminished seventh to C, by hand: A flat D F B; to A E G C, G C E A, G C E C.
        ("1212", "2433", "C6", BELOW),
        ("1212", "0000", "C6", ABOVE),
        ("1212", "0003", "C", RESOLVED),
        # C sharp diminished seventh to D minor seventh: B flat E G C sharp to C F A D.
        ("3434", "5555", "Dm7", BELOW),
        # The leading tone would leap.
        ("1212", "5433", "C", ""),
    ],
)
def test_endings_on_the_neck(before: str, after: str, target: str, ending: str) -> None:
    chord = Chord.parse(target)
    tonic = {"Dm7": "F"}.get(target, "C")
    shapes = (Voicing.parse(digits, UKULELE) for digits in (before, after))
    leading = (chord.root.pitch_class - 1) % 12
    assert ending_of(*shapes, SixthDiminished(tonic, "major"), leading) == ending


def test_a_walk_enters_the_next_chord_up_the_neck() -> None:
    """C6 at the nut, by B diminished seventh and C sharp diminished seventh to fret 5."""
    (way,) = reharmonise(tune_of(TURNAROUND), UKULELE, moves_of("walking"), 1, style="walking")
    played = [step.voicing.digits for step in way.steps[:5] if step.voicing]
    assert played == ["0-0-0-0", "1-2-1-2", "2-4-3-3", "3-4-3-4", "5-5-5-5"]


@pytest.mark.parametrize("changes", REAL)
@pytest.mark.parametrize("instrument", [UKULELE, GUITAR], ids=["ukulele", "guitar"])
def test_walking_keeps_the_figures_of_the_line(changes: str, instrument: Instrument) -> None:
    (way,) = reharmonise(tune_of(changes), instrument, moves_of("walking"), 1, style="walking")
    found = line(way)
    assert way.added
    assert found.longest_run <= 6 and found.against_wording == 0 and found.drops <= 1
    assert measure(way).rests == 100


WALTZ = "| G6 | Em7 | Am7 | D7 | G6 | E7 | Am7 | D7 | Bm7 | E7 | Am7 | Cm6 | G6 | D7 | G6 | G6 |"
HALVES = "| Bb7 | Eb7 | Bb7 | Cm7 F7 | Eb7 | Eb7 | Bb7 | Cm7 F7 | Cm7 | F7 | Bb7 G7 | Cm7 F7 |"


@pytest.mark.parametrize(("changes", "key", "meter"), [(WALTZ, "G", "3/4"), (HALVES, "Bb", "4/4")])
@pytest.mark.parametrize("style", ["usual", "rich"])
def test_a_phrase_rests_at_its_end(changes: str, key: str, meter: str, style: str) -> None:
    """Half a bar at least (common practice, no source)."""
    tune = tune_of(changes, key=key, meter=meter)
    moves = (*USUAL, "four–three suspension") if style == "usual" else moves_of(style)
    (way,) = reharmonise(tune, UKULELE, moves, 1, style=style)
    assert way.added and measure(way).rests == 100


def test_what_is_asked_for_wherever_it_fits_stands_at_the_end_of_a_phrase_too() -> None:
    tune, name = tune_of(WALTZ, key="G", meter="3/4"), "rootless dominant"
    (way,) = reharmonise(tune, UKULELE, [name], 1, wishes=Wishes(prefer=name))
    assert measure(way).rests < 100


@given(tune=tunes(bars=6, melodies=False))
@settings(max_examples=settings().max_examples // 2)
def test_no_string_goes_against_the_wording_of_its_walk(tune: Tune) -> None:
    (way,) = reharmonise(
        tune, UKULELE, moves_of("walking"), 1, wishes=Wishes(weights=EAGER, least_seconds=0.2)
    )
    assert line(way).against_wording == 0


# Harmony ---------------------------------------------------------------------------------------


def test_a_blues_keeps_its_sevenths_at_rest() -> None:
    """I7 and IV7 sound in every bar that has them, whatever else is allowed; in bar 6 may be ♯IV°7.

    Wikipedia, "Twelve-bar blues".
    """
    (way,) = reharmonise(tune_of(BLUES, key="F"), UKULELE, moves_of("rich"), 1, style="rich")
    for bar in (0, 1, 2, 3, 4, 6, 10):
        steps = way.bars()[bar]
        assert any(step.chord == step.written for step in steps), bar
    assert str(way.bars()[5][0].chord) in ("Bb7", "Bdim7")


def test_no_move_has_more_than_a_third_of_many() -> None:
    """With all moves allowed none is used all the time."""
    (way,) = reharmonise(tune_of(TURNAROUND), UKULELE, tuple(MOVES), 1, style="rich")
    names = [step.move for step in way.added]
    assert len(names) > 3
    assert max(names.count(name) for name in names) <= max(3, len(names) / 3 + 1)


def test_unusual_changes_are_dear() -> None:
    key = Key.parse("C")

    def bits(changes: str) -> float:
        return row_bits(
            tuple((Chord.parse(c), n, True) for n, c in enumerate(changes.split())), key, "jazz"
        )

    assert bits("Dm7 G7 Cmaj7") < bits("Dm7 Db7 Cmaj7") < bits("Dm7 B7 Cmaj7")


FALLING = (
    "| Dm7 | G7 | Cmaj7 | Cmaj7 | Cm7 | F7 | Bbmaj7 | Bbmaj7 | Em7 | A7 | Dm7 | G7 | C6 | C6 |"
)


def test_rich_is_more_unusual_than_the_tune_and_the_usual_is_not() -> None:
    """By the counts of lead sheets, in bits a change of the skeleton; ornaments are none of it."""

    def bits(style: str, moves: tuple[str, ...]) -> float:
        (way,) = reharmonise(tune_of(FALLING), UKULELE, moves, 1, style=style)
        own = [(step.written if step.ornament else step.chord, step.bar) for step in way.steps]
        row = tuple(next(same) for _, same in groupby(own, key=lambda each: each[0]))
        told = tuple((chord, bar, True) for chord, bar in row if chord)
        return row_bits(told, Key.parse("C"), "jazz") / (len(told) - 1)

    written = bits("usual", ())
    assert bits("usual", USUAL) - written < 1 < bits("rich", moves_of("rich")) - written < 2.5


@pytest.mark.parametrize(
    ("move", "bits", "colour", "price"),
    [
        ("tritone substitution", 3.0, 8, 50),  # five bits too usual
        ("tritone substitution", 11.0, 8, 30),  # three too many
        ("tritone substitution", -2.0, 0, 0),
        ("tritone substitution", 3.0, 0, 30),
        ("rootless dominant", 3.0, 8, 80),  # lead sheets do not write it
        ("rootless dominant", 3.0, 0, 0),
        ("", 3.0, 8, 0),  # nothing is added
    ],
)
def test_wanted_colour_has_a_price_on_both_sides(
    move: str, bits: float, colour: int, price: int
) -> None:
    """By hand: ten a bit."""
    slots = slots_of(tune_of("| G7 | C6 |"))
    part = replace(as_written(slots[0]).parts[0], move=move)
    weights = Weights(harmony=10, colour=colour)
    prices = PartPrices(weights, extra=lambda variant, row: bits)
    assert prices.unusual(slots[:1], Variant((part,))) == price


def test_the_usual_adds_toward_cadences_and_leaves_most_bars_alone() -> None:
    (way,) = reharmonise(tune_of(TURNAROUND), UKULELE, k=1)
    bars = {step.bar % 4 for step in way.added}
    assert 0 not in bars and 0 < len(way.added) <= 8


def test_no_clash_is_added_by_default() -> None:
    """A melody of long notes that most substitutes would rub."""
    melody = "| C5:4 | C5:4 | D5:4 | D5:4 | C5:4 | C5:4 | A4:4 | G4:4 |"
    tune = tune_of("| C6 | A7 | Dm7 | G7 | C6 | A7 | Dm7 G7 | C6 |", melody=melody)
    for style in ("usual", "walking", "rich", "sparse"):
        (way,) = reharmonise(tune, UKULELE, moves_of(style), 1, style=style)
        assert measure(way).added_clashes == 0


# Wanted contours -------------------------------------------------------------------------------


def test_contours_rise_and_fall_as_their_names_say() -> None:
    places = [n / 8 for n in range(8)]
    rise, fall = ([CONTOURS[name](place) for place in places] for name in ("rise", "fall"))
    assert rise == sorted(rise) and fall == sorted(fall, reverse=True)
    arch = [CONTOURS["arch"](place) for place in places]
    assert 0 < arch.index(max(arch)) < 7 and all(0 <= height <= 1 for height in arch)


def test_a_line_is_wanted_phrase_by_phrase() -> None:
    tune = tune_of("| C | F | G7 | C | F | C | G7 | C |")
    found = line_of(tune, UKULELE, (3, 7), ("rise", "fall"), span=8)
    assert [found.wanted(Fraction(n)) for n in (0, 8, 16, 24)] == [69, 73, 77, 73]
    assert found.off(Fraction(8), np.array([73, 70])).tolist() == [0, 3]


def test_a_contour_may_start_a_string_below_the_highest() -> None:
    tune = tune_of("| C | F | G7 | C |")
    for instrument, start in ((GUITAR, 59), (UKULELE, 69)):
        found = line_of(tune, instrument, (3,), ("rise",), string=2)
        assert found.wanted(Fraction(0)) == start  # B3 of a guitar; all strings of a ukulele sound


@pytest.mark.parametrize(
    ("instrument", "name", "changes", "line"),
    [
        (UKULELE, "minor line cliché", "| Cm7 | Cm7 | Fm7 | Cm7 |", "C B B- A"),
        (GUITAR, "minor line cliché", "| Cm7 | Cm7 | Fm7 | Cm7 |", "C B B- A"),
        (GUITAR, "rising line cliché", "| C | C | F | C |", "G G# A B-"),
        # 0003 1003 2003 3003, and 2000 1000 0000: the fourth string alone.
        (UKULELE, "rising line cliché", "| C | C | F | C |", "G G# A B-"),
        (UKULELE, "short minor line cliché", "| Am7 | Am7 | Dm7 | E7 |", "A G# G"),
    ],
)
def test_in_a_line_cliche_one_string_moves_and_the_others_stay(
    instrument: Instrument, name: str, changes: str, line: str
) -> None:
    """Web, "Line Clichés": the line is heard as the reason says it."""
    key = "Cm" if "Cm" in changes else "Am" if "Am" in changes else "C"
    tune = tune_of(changes, key=key)
    (way,) = reharmonise(tune, instrument, [name], 1, wishes=Wishes(prefer=name))
    count = len(line.split())
    shapes = [step.voicing for step in way.steps[:count] if step.voicing]
    heard = []
    for one, other in pairwise(shapes):
        moved = [(a, b) for a, b in zip(one.midi, other.midi, strict=True) if a != b]
        ((before, after),) = moved
        assert before is not None and after is not None and abs(after - before) == 1
        heard += [before] if not heard else []
        heard.append(after)
    assert [Note.parse(name).pitch_class for name in line.replace("-", "b").split()] == [
        pitch % 12 for pitch in heard
    ]


# Hands and textures ----------------------------------------------------------------------------


def test_a_guitars_plain_shapes_are_those_of_a_first_book() -> None:
    """Open C6, Am7, Dm7 and G7: common practice, no source."""
    (way,) = reharmonise(tune_of("| C6 | Am7 | Dm7 | G7 |"), GUITAR, (), 1)
    digits = [step.voicing.digits for step in way.steps if step.voicing]
    assert digits == ["x-3-2-2-1-0", "x-0-2-0-1-0", "x-x-0-2-1-1", "3-2-0-0-0-1"]


# Barres and grips of swing as every guitarist has them: common practice, written by hand.
GRIPS = {
    "Abmaj7": "465544 46554x 4x554x 4655xx 431113 xx6543",
    "Bb6": "x10031 x1003x x10033 653333 6x576x 688787 x13333",
    "Bb7": "x13131 x1313x 686766 6x676x 653334",
    "Bbm7": "x13121 686666 6x666x",
    "C7": "x32310 x3231x x35353 x3535x 8x898x",
    "Cm7": "x31313 x3x343 x35343 8x888x x3131x",
    "Dm7": "xx0211 x57565 x53535",
    "Eb6": "xx1013 xx1313 x68888",
    "Eb7": "xx1023 xx1323 x68686 x6564x",
    "Ebm6": "xx1312 x67586 x6454x",
    "Ebmaj7": "xx1333 xx1033 x68786 x6533x x65333",
    "F7": "131211 13121x 1x121x xx3241 xx3545",
    "Fm7": "131111 131114 131141 133141 1x111x xx3544",
    "G7": "320001 323003 353433 3x343x",
    "Gm7": "353333 353336 3x333x 355363 xx5766",
}
FLAT = {
    "Eb": "| Ebmaj7 C7 | Fm7 Bb7 | Gm7 C7 | Fm7 Bb7 | Gm7 | Abmaj7 | Fm7 Bb7 | Ebmaj7 |",
    "Ab": "| Abmaj7 | Fm7 | Bbm7 | Eb7 | Gm7 C7 | Fm7 | Bbm7 Eb7 | Abmaj7 |",
    "Bb": "| Bb6 G7 | Cm7 F7 | Dm7 G7 | Cm7 F7 | Bb6 Bb7 | Eb6 Ebm6 | Bb6 F7 | Bb6 |",
}


def test_in_flat_keys_a_guitar_plays_the_grips_that_guitarists_have() -> None:
    """Nineteen of twenty; an inner voice that stays is no reason for a grip that nobody plays."""
    odd: list[str] = []
    count = 0
    for key, changes in FLAT.items():
        for style in ("usual", "few shapes", "sparse"):
            (way,) = reharmonise(tune_of(changes, key=key), GUITAR, (), 1, style=style)
            for step in way.steps:
                if step.voicing is not None:
                    count += 1
                    grip = step.voicing.digits.replace("-", "")
                    odd += [grip] * (grip not in GRIPS[str(step.chord)].split())
    assert len(odd) <= count / 20, odd


@pytest.mark.parametrize("style", ["rich", "walking"])
def test_new_harmony_too_is_played_in_grips_that_a_hand_has(style: str) -> None:
    """No four lowest strings alone, no open string under fingers far up, no third for a fifth.

    Common practice, no source; what each grip is, is counted here from its frets.
    """
    odd: list[str] = []
    count = 0
    for key, changes in (*FLAT.items(), ("E", "| E6 | C#m7 | F#m7 | B7 | E6 | A6 Am6 | B7 | E6 |")):
        (way,) = reharmonise(tune_of(changes, key=key), GUITAR, moves_of(style), 1, style=style)
        for step in way.steps:
            if step.voicing is None or step.chord is None:
                continue
            count += 1
            frets = step.voicing.frets
            above = [(pitch - step.chord.root.pitch_class) % 12 for pitch in step.voicing.sounding]
            four = len(above) == len(step.chord.semitones) == 4
            lowest = frets[4:] == (None, None) and None not in frets[:4]
            twice = four and 7 not in above and above.count(0) == 1 and len({*above}) == 3
            opened = 0 in frets and max(fret or 0 for fret in frets) > 5
            odd += [f"{step.chord} {step.voicing.digits}"] * (lowest or twice or opened)
    assert len(odd) <= count / 50, odd


def test_a_players_grips_are_taken() -> None:
    """Down the first frets; a blues in bass, seventh and third.  Written by hand first."""
    changes = "| Bb6 G7 | Cm7 F7 | Bb6 G7 | Cm7 F7 |"
    (way,) = reharmonise(tune_of(changes, key="Bb"), UKULELE, (), 1)
    played = [step.voicing.digits.replace("-", "") for step in way.steps if step.voicing]
    assert played == "3535 4535 3333 2313 0211 0212 3333 2313".split()
    (blues,) = reharmonise(tune_of(BLUES, key="F"), GUITAR, moves_of("rich"), 1, style="rich")
    last = [step.voicing.digits for step in blues.steps if step.voicing and step.bar >= 8]
    assert last[:3] == ["3-x-3-3-3-x", "2-x-2-3-2-x", "1-x-1-2-1-x"]


@pytest.mark.parametrize("texture", ["shells", "drop 2", "two strings"])
def test_a_texture_stays(texture: str) -> None:
    (way,) = reharmonise(
        tune_of("| Dm7 | G7 | Cmaj7 | Cmaj7 |"), GUITAR, (), 1, wishes=Wishes(texture=texture)
    )
    counts = {len(step.voicing.sounding) for step in way.steps if step.voicing}
    assert len(counts) == 1


def test_guide_tones_go_by_step_over_falling_fifths_in_shells() -> None:
    """Seventh to third: C to B, F to E (common practice, no source)."""
    tune = tune_of("| Dm7 | G7 | Cmaj7 | Fmaj7 | Bm7b5 | E7 | Am7 | Am7 |")
    (way,) = reharmonise(tune, GUITAR, (), 1, wishes=Wishes(texture="shells"))
    found = line(way)
    assert found.guide_tones == found.falling_fifths > 4


def test_shells_of_triads_go_on_without_a_leap_that_is_not_answered() -> None:
    """Spread on low strings: a third over the low B flat is not heard (common practice)."""
    tune = tune_of("| Bb | Bb | F | Bb | Eb | Bb | F | Bb | G | D | C | G | C | G | D | G |")
    (way,) = reharmonise(tune, GUITAR, (), 1, wishes=Wishes(texture="shells"))
    found = line(way)
    assert 5 * found.leaps_back >= 4 * found.leaps
    assert found.too_low <= 4


def test_what_the_tune_leads_to_by_its_own_diminished_seventh_comes() -> None:
    """Common practice, no source: G sharp diminished seventh goes to A minor, not elsewhere."""
    tune = tune_of("| C6 | G#dim7 | Am7 | D7 | Dm7 | G7 | C6 | C6 |")
    for moves in (moves_of("rich"), tuple(MOVES)):
        (way,) = reharmonise(tune, UKULELE, moves, 1, style="rich")
        bars = list(way.bars())
        if bars[1][-1].chord == Chord.parse("G#dim7"):
            assert bars[2][0].chord is not None and bars[2][0].chord.root.name == "A"
