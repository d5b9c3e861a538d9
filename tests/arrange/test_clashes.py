"""Clashes with the melody: the published table of avoid notes, and cases by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from small_tunes import NOTHING, tune_of, tunes
from tables import rows

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.clashes import added_clashes, avoided, clashes, rubs
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Demands, Wishes
from harmonykit.cli.told import clash_lines
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
C = Key.parse("C")
PITCH_CLASS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@pytest.mark.parametrize("row", rows("avoid"), ids=lambda row: row["mode_chord"])
def test_avoid_notes_are_those_of_the_table(row: dict[str, str]) -> None:
    """Wikipedia, "Avoid note"; its dorian B, which the semitone rule does not find, is added."""
    symbol, mode = row["mode_chord"].split()
    chord = Chord.parse(symbol)
    listed = row["scale_notes_a_semitone_above_a_chord_tone"].replace("-", "").split()
    expected = {PITCH_CLASS[name] for name in listed} | ({11} if mode == "dorian" else set())
    scale = [int(n) for n in row["scale"].split(",")]
    found = {pc for pc in scale if avoided(pc, chord, C) is not None}
    assert found == expected


def test_a_minor_ninth_is_between_sounding_pitches() -> None:
    """F5 over E4 and F4 over E4 rub, E5 over F4 (a major seventh) does not, F4 under E5 neither."""
    chord = Chord.parse("C6")
    assert rubs(77, 64, chord) and rubs(65, 64, chord)
    assert not rubs(76, 65, chord) and not rubs(65, 76, chord)
    assert rubs(71, 72, chord)  # B under C: the chord's note is the upper one


def test_the_flat_ninth_of_a_dominant_is_allowed_over_its_root_alone() -> None:
    g7 = Chord.parse("G7")
    assert not rubs(68, 67, g7) and rubs(72, 71, g7)  # A flat over G; C over B


def test_over_an_added_dominant_the_flat_ninth_wants_a_fall_by_a_fifth() -> None:
    """A over A flat 7, which goes to G: a rub.  B flat over A7, which goes to D minor: none.

    Over a dominant that falls by a half step the scale is lydian (common practice, no source).
    """
    for symbol, digits, written, melody, after, rub in (
        ("Ab7", "1323", "D7", "A4", "G6", True),
        ("A7", "0100", "Em7", "Bb4", "Dm7", False),
        ("A7", "0100", "Em7", "Bb4", "G6", True),
    ):
        way = arranged(f"{melody}:4", symbol, digits, written)
        after_step = Step(
            Chord.parse(after), None, Fraction(4), Fraction(4), 0, written=Chord.parse(after)
        )
        both = replace(way, steps=(*way.steps, after_step))
        assert bool(added_clashes(both)) is rub, (symbol, after)


def arranged(melody: str, symbol: str, digits: str, written: str = "C6") -> Arrangement:
    tune = tune_of(f"| {written} |", melody=melody)
    step = Step(
        Chord.parse(symbol),
        Voicing.parse(digits, UKULELE),
        Fraction(0),
        Fraction(4),
        0,
        "" if symbol == written else "leading-tone diminished",
        written=Chord.parse(written),
    )
    return Arrangement(tune, UKULELE, (step,), 0, 120)


def test_a_clash_has_its_place_its_length_and_its_notes() -> None:
    """C5 over B4 of 4-5-4-5 (B F G sharp D), from quarter 1 for two."""
    (clash,) = added_clashes(arranged("| r:1 C5:2 r:1 |", "G#dim7", "4545"))
    assert (clash.rule, clash.onset, clash.beats, clash.bar) == ("minor ninth", 1, 2, 0)
    assert (str(clash.melody), str(clash.tone), str(clash.chord)) == ("C5", "B4", "G#dim7")
    assert str(clash) == (
        "minor ninth: the melody's C with B of G♯°7, for 2 quarter notes, "
        "starting 1 quarter note into the tune"
    )


@pytest.mark.parametrize(
    ("melody", "count"),
    [
        ("| C5:1 r:3 |", 1),  # on a beat
        ("| r:1/2 C5:1/2 r:3 |", 1),  # off the beat, half a beat long
        ("| r:1/4 C5:1/4 r:7/2 |", 0),  # off the beat and short
        ("| B4:4 |", 0),  # its own tone
        ("| E5:4 |", 0),  # a whole step above D
        ("| Eb5:4 |", 1),  # a semitone above D
    ],
)
def test_rule_seven_on_what_sounds(melody: str, count: int) -> None:
    assert len(added_clashes(arranged(melody, "G#dim7", "4545"))) == count


def test_what_rubs_in_the_tune_as_written_is_not_added() -> None:
    """F over C6 rubs with its E already; A flat over C6 with G."""
    for name in ("F5", "Ab5"):
        way = arranged(f"| {name}:4 |", "Em7", "0202")
        assert not added_clashes(way)
    assert clashes(arranged("| F5:4 |", "C6", "0000")) and not added_clashes(
        arranged("| F5:4 |", "C6", "0000")
    )


def test_a_tone_that_only_the_tunes_dominant_may_have_is_added_by_another_chord() -> None:
    """G is the root of G7b9, whose A flat is its flat ninth; over D flat 7 the same A flat rubs."""
    (clash,) = added_clashes(arranged("| G4:4 |", "Db7", "1112", "G7b9"))
    assert (str(clash.melody), clash.tone.pitch_class, str(clash.written)) == ("G4", 8, "G7b9")
    assert not added_clashes(arranged("| G4:4 |", "Fm6", "1213", "Abmaj7"))  # A flat is at home.


def test_the_list_tells_apart_what_is_added() -> None:
    """G over D flat 7 is added where the tune has G7; over D7 it rubs with F sharp already."""
    for melody, symbol, digits, written, told in (
        ("| G4:4 |", "Db7", "1112", "G7", "A♭ of D♭7 (added clash)"),
        ("| G4:4 |", "Db7", "1112", "D7", "A♭ of D♭7; the tune's own D7 clashes with it, too"),
        ("| F5:4 |", "C6", "0000", "C6", "F with E of C6"),
    ):
        way = arranged(melody, symbol, digits, written)
        text = " ".join(" ".join(clash_lines(way)).split())
        assert text.endswith(told)
        assert text.count("(added clash)") == len(added_clashes(way))


def test_an_avoid_note_is_one_though_the_shape_leaves_its_tone_out() -> None:
    """B over D minor, without the sound of a minor ninth: schools avoid it."""
    (clash,) = added_clashes(arranged("| B4:4 |", "Dm", "2210"))
    assert (clash.rule, str(clash.tone)) == ("avoid note", "F")


melodic = tunes(bars=4, melodies=True)


@given(melodic)
def test_no_added_clashes_is_kept(tune: Tune) -> None:
    demands = Demands(no_added_clashes=True)
    for way in reharmonise(
        tune, UKULELE, tuple(MOVES), k=2, wishes=Wishes(demands=demands, least_seconds=0.2)
    ):
        assert not added_clashes(way)


@given(melodic)
@settings(max_examples=30)
def test_what_a_clash_costs_is_counted_as_the_measure_counts(tune: Tune) -> None:
    """With every other price nought, the cost is the number of added clashes."""
    prices = replace(NOTHING, clash=1)
    for way in reharmonise(
        tune, UKULELE, tuple(MOVES), k=3, wishes=Wishes(weights=prices, least_seconds=0.2)
    ):
        assert way.cost == len(added_clashes(way))


def test_without_a_melody_nothing_clashes() -> None:
    for way in reharmonise(tune_of("| C6 | Dm7 |"), UKULELE, k=3):
        assert clashes(way) == ()
