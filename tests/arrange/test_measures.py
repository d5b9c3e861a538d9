"""Measures of an arrangement that can be counted by hand, and their table."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import fields, replace
from fractions import Fraction
from itertools import groupby

import pytest
from hypothesis import given, settings
from small_tunes import tune_of, tunes

import harmonykit as hk
from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.measures import ABOUT, MORE, UNITS, Measures, compare, measure
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")


def arrangement(changes: str, *steps: tuple[str, str, float, str], **more: object) -> Arrangement:
    """Return an arrangement of typed steps: chord, shape, quarters, and chord as written."""
    tune = tune_of(changes)
    found, onset = [], Fraction(0)
    for symbol, digits, beats, written in steps:
        bar = max(i for i, played in enumerate(tune.playing) if played.onset <= onset)
        length = Fraction(beats)
        silent = symbol == "N.C."
        found.append(
            Step(
                None if silent else Chord.parse(symbol),
                None if silent else Voicing.parse(digits, UKULELE),
                onset,
                length,
                bar,
                "" if symbol == written else "leading-tone diminished",
                written=None if silent else Chord.parse(written),
            )
        )
        onset += length
    return Arrangement(tune, UKULELE, tuple(found), 0, 120, **more)  # type: ignore[arg-type]


def example(name: str = "") -> Arrangement:
    return arrangement(
        "| C6 | Am7 | C6 |",
        ("C6", "0000", 2, "C6"),
        ("G#dim7", "4545", 2, "C6"),
        ("Am7", "0000", 4, "Am7"),
        ("C6", "0000", 4, "C6"),
        name=name,
    )


def shape(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE)


def test_every_measure_by_hand() -> None:
    """Open strings 60 64 67 69 and 4-5-4-5, 65 68 71 74: 5 + 4 + 4 + 5 semitones, twice.

    The top moves 5 each way and all four strings change; the index goes from the first position to
    the fourth fret and back.  Wires 4 and 5 of a scale of 381 mm are 381 (2^(-4/12) - 2^(-5/12))
    apart.  C6 after Am7 is the same shape: no change.  Half a bar at 120 is one second.  Of
    G sharp, B, D and F one is outside of C major, for two of twelve quarters of four notes each.
    """
    found = measure(example())
    # How surprising the changes are, and how hard the shapes, is judged below.
    bare = replace(found, surprise=0.0, surprise_a_bar=0.0, playability=0.0)
    assert bare == Measures(
        semitones=36,
        greatest_movement=18,
        mean_movement=18.0,
        greatest_leap=5,
        top_line=10,
        travel_mm=2 * round(travel_mm(shape("0000"), shape("4545"))),
        travel_frets=6,
        strings=8,
        widest_mm=pytest.approx(381 * (2 ** (-4 / 12) - 2 ** (-5 / 12))),
        shapes=2,
        highest_fret=5,
        added=1,
        changes=2,
        changes_a_bar=pytest.approx(2 / 3),
        least_seconds=1.0,
        outside=pytest.approx(100 * 2 * 1 / (2 * 4 + 2 * 4 + 4 * 4 + 4 * 4)),
        # The local key stays C major.
        outside_local=pytest.approx(100 * 2 * 1 / (2 * 4 + 2 * 4 + 4 * 4 + 4 * 4)),
        clashes=0,
        added_clashes=0,
        # G sharp dim leads to A minor.
        dominants=1,
        resolved=1,
        surprise=0.0,
        surprise_a_bar=0.0,
        playability=0.0,
        # One phrase of three bars: the line turns once, and its last shape lasts eight quarters.
        turns=1.0,
        rests=100.0,
        longest_run=0.0,
        not_parallel=0.0,
        guide_tones=0,
    )


def test_difficulty_of_open_shapes_is_less_than_that_of_barres_up_the_neck() -> None:
    # Common practice, no source: C Am F G7 in open shapes, and a whole barre for each chord.
    low = (("C", "0003", 4, "C"), ("Am", "2000", 4, "Am"), ("G7", "0212", 4, "G7"))
    high = (("C", "5433", 4, "C"), ("Am", "5453", 4, "Am"), ("G7", "4535", 4, "G7"))
    easy, hard = (measure(arrangement("| C | Am | G7 |", *each)) for each in (low, high))
    assert 0 < easy.playability < hard.playability
    silent = arrangement("| C | N.C. |", ("N.C.", "", 8, "N.C."))
    assert measure(silent).playability == 0


def test_surprise_is_that_of_the_chords_that_a_lead_sheet_writes() -> None:
    """Under an ornament the tune's own chord counts."""
    found = measure(example())
    text = "| " + " | ".join(
        " ".join(str(s.written if s.ornament else s.chord) for s in steps)
        for _, steps in groupby(example().steps, lambda s: s.bar)
    )
    told = hk.surprise(text + " |", "C")
    assert found.surprise == pytest.approx(told.mean) and found.surprise > 0
    assert found.surprise_a_bar == pytest.approx(told.a_bar)


def test_surprise_is_counted_in_the_style_of_the_tune() -> None:
    """A tune in triads stays one when a dominant a tritone away is put in."""
    written = arrangement("| C | G |", ("C", "0003", 4, "C"), ("G", "0232", 4, "G"))
    added = arrangement(
        "| C | G |", ("C", "0003", 2, "C"), ("Ab7", "1323", 2, "C"), ("G", "0232", 4, "G")
    )
    steps = tuple(
        replace(step, move="tritone substitution" if step.move else "") for step in added.steps
    )
    added = replace(added, steps=steps)
    told = hk.surprise("| C Ab7 | G |", "C", "plain")
    assert measure(added).surprise == pytest.approx(told.mean)
    assert measure(added).surprise > measure(written).surprise


def test_nothing_is_counted_across_a_silence() -> None:
    found = measure(
        arrangement(
            "| C6 | N.C. | G7 |",
            ("C6", "0000", 4, "C6"),
            ("N.C.", "", 4, "N.C."),
            ("G7", "0212", 4, "G7"),
        )
    )
    assert (found.semitones, found.travel_mm, found.strings, found.mean_movement) == (0, 0, 0, 0)
    # The hand has a new shape to take all the same, and two bars of 2 s to do so.
    assert (found.changes, found.least_seconds) == (1, 4.0)


def test_a_single_shape_has_no_change() -> None:
    found = measure(arrangement("| C6 |", ("C6", "0000", 4, "C6")))
    assert (found.changes, found.mean_movement, found.widest_mm) == (0, 0.0, 0.0)
    assert found.least_seconds == math.inf


def test_a_chord_that_goes_on_over_the_bar_line_is_inserted_once() -> None:
    found = measure(
        arrangement(
            "| G7 | G7 | C6 |",
            ("Bdim7", "1212", 4, "G7"),
            ("Bdim7", "1212", 4, "G7"),
            ("C6", "0000", 4, "C6"),
        )
    )
    assert (found.added, found.changes) == (1, 1)


def test_a_chord_as_written_is_not_inserted_wherever_it_is_played() -> None:
    """The second C6 of a climb is the tune's own, higher up."""
    found = measure(
        arrangement(
            "| C6 | G7 |",
            ("C6", "0000", 1, "C6"),
            ("Bdim7", "1212", 1, "C6"),
            ("C6", "2433", 2, "C6"),
            ("G7", "0212", 4, "G7"),
        )
    )
    assert (found.added, found.least_seconds) == (1, 0.5)


def test_a_pickup_is_part_of_a_bar() -> None:
    steps = (("G7", "0212", 1, "G7"), ("C6", "0000", 4, "C6"))
    found = measure(arrangement("| {1 quarter} G7 | C6 |", *steps))
    assert found.changes_a_bar == pytest.approx(1 / 1.25)


def test_seconds_go_by_the_tempo_of_the_arrangement() -> None:
    assert measure(replace(example(), tempo=60)).least_seconds == 2.0


@given(tunes(bars=4))
@settings(max_examples=settings().max_examples // 2)
def test_the_laws_of_the_row(tune: Tune) -> None:
    """The greatest is at most the sum, the mean at most the greatest, sums are of the changes."""
    for found in reharmonise(tune, UKULELE, k=2):
        row = measure(found)
        assert 0 <= row.greatest_movement <= row.semitones
        assert row.mean_movement <= row.greatest_movement
        assert row.greatest_leap <= row.greatest_movement <= 4 * row.greatest_leap
        assert row.resolved <= row.dominants and row.added_clashes <= row.clashes
        assert row.top_line <= row.semitones
        assert row.strings <= 4 * row.changes
        assert row.shapes <= row.changes + 1
        assert row.added <= len(found.added)
        assert row.highest_fret <= 12 and row.widest_mm <= 98


def test_every_measure_has_a_unit_and_a_word() -> None:
    assert list(UNITS) == [field.name for field in fields(Measures)]
    assert len(ABOUT) == len(UNITS) and all(UNITS.values()) and all(ABOUT.values())
    assert [*MORE] == [*UNITS]
    for about, more in zip(ABOUT.values(), MORE.values(), strict=True):
        assert more and about.endswith(f"; more is {more}")
    assert all(
        column.endswith(f"({unit})") for column, unit in zip(ABOUT, UNITS.values(), strict=True)
    )


def test_the_table_has_a_row_an_arrangement() -> None:
    table = compare([example("plain"), example()])
    assert list(table.index) == ["plain", "2"] and table.index.name == "arrangement"
    assert list(table.columns) == list(ABOUT)
    assert table.loc["plain", "voice leading (semitones)"] == 36
    assert table.loc["2", "travel (frets)"] == 6
    assert table.loc["2", "least time (s)"] == 1.0


def test_rows_of_one_name_are_told_apart() -> None:
    assert list(compare([example("smooth")] * 2).index) == ["smooth 1", "smooth 2"]
    assert list(compare([example()] * 2).index) == ["1", "2"]


def test_whole_numbers_stay_whole() -> None:
    table = compare([example()])
    whole = ["voice leading (semitones)", "added (chords)", "highest fret (fret)", "travel (mm)"]
    assert all(table[column].dtype.kind == "i" for column in whole)
    assert table["widest stretch (mm)"].dtype.kind == "f"


def test_no_arrangement_is_a_table_too() -> None:
    assert compare([]).shape == (0, len(ABOUT))


def test_it_is_at_the_top_of_the_library() -> None:
    tune = hk.read_tune(find_data("tunes", "slack_water_waltz"))
    table = hk.compare(hk.reharmonise(tune, UKULELE, k=3))
    assert table.shape[0] == 3
    assert (table["added (chords)"] > 0).all()


def test_pandas_loads_in_compare_alone() -> None:
    script = "import sys, harmonykit.arrange.measures; print('pandas' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "False"


WALTZ = """
F6 5555 5, C#dim7 3434 1, D7 2223 6, Gm 0231 5, Bdim7 1212 1, C7 0001 5, G#dim7 1212 1,
Am7 0000 2, C#dim7 0101 1, D7 2223 3, Gm7 0211 2, Bdim7 1212 1, C7 0001 3,
F6 2213 2, Adim7 2323 1, Bb6 0211 2, F#dim7 2323 1, Gm7 0211 2, C7 0001 1, F6 2213 3
"""
"""Slack Water Waltz with approaches from below: chord, shape and quarters."""


def test_a_whole_waltz_added_up_on_paper() -> None:
    """Nineteen changes: 6 5 5 4 5 5 6 2 7 5 2 5 7 2 6 6 6 3 7 semitones make 94, the top line 26.

    Outside of F major: one note of C sharp dim and of D7, two of the other diminished sevenths; by
    quarters 1 + 6 + 2 + 2 + 1 + 3 + 2 + 2 + 2 of 48 times four.  D7 leads to G twice and C7 to F
    twice; C7 before G sharp dim goes to A minor instead.  Each of the seven diminished sevenths
    leads to its target.  A quarter at 96 lasts five eighths of a second.
    """
    tune = read_tune(find_data("tunes", "slack_water_waltz"))
    steps: list[Step] = []
    onset = Fraction(0)
    for word in WALTZ.replace("\n", " ").split(","):
        symbol, digits, beats = word.split()
        left = Fraction(beats)
        while left:
            bar = int(onset // 3)
            length = min(left, 3 * (bar + 1) - onset)
            (written,) = (c.chord for c in tune.changes if c.onset <= onset < c.onset + c.beats)
            chord = Chord.parse(symbol)
            move = "" if chord == written else "leading-tone diminished"
            steps.append(Step(chord, shape(digits), onset, length, bar, move, written=written))
            onset, left = onset + length, left - length
    assert onset == tune.length == 48
    found = measure(Arrangement(tune, UKULELE, tuple(steps), 0, 96))
    assert (found.semitones, found.greatest_movement, found.top_line) == (94, 7, 26)
    assert (found.changes, found.added, found.shapes) == (19, 7, 11)
    assert (found.dominants, found.resolved, found.least_seconds) == (12, 11, 0.625)
    assert found.outside == pytest.approx(100 * 21 / 192)
    assert found.changes_a_bar == pytest.approx(19 / 16)


def test_a_table_has_no_digit_that_nobody_can_tell() -> None:
    """Lengths to 0.1 mm, times to 0.01 s: the same on every machine."""
    arrangement = reharmonise(tune_of("| Em7 | A7 | D6 | D6 |"), UKULELE, moves=[], k=1)[0]
    exact = replace(measure(arrangement), widest_mm=36.96)
    row = dict(zip(UNITS, exact.row, strict=True))
    assert row["widest_mm"] != exact.widest_mm and abs(row["widest_mm"] - exact.widest_mm) <= 0.05
    for name, value in row.items():
        unit = UNITS[name]
        assert len(f"{value!r}".partition(".")[2]) <= (1 if unit in ("mm", "% of notes") else 2)
