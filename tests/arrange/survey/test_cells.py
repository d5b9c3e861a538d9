"""The rows of a survey: counted by hand, against the search, and by the laws that they obey."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from made_tunes import made_tune
from small_tunes import tune_of, tunes

from harmonykit.arrange.measures import UNITS, measure
from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.shapes import playable
from harmonykit.arrange.survey.cells import COLUMNS, Row, cells, empty_row, read
from harmonykit.arrange.survey.plan import ALL
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.tune import Tune

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def row(tune: Tune, instrument: Instrument = UKULELE, level: int = 1, **more: object) -> Row:
    asked = {"tonics": (), "moves": ("leading-tone diminished",), **more}
    (found,) = cells(tune, instrument, level, **asked)  # type: ignore[arg-type]
    assert not found["error"] and list(found) == list(COLUMNS)
    return found


def muted(tune: Tune, found: Row) -> bool:
    """Whether a chord of the tune, in the key of a row, is played with a string muted."""
    home, key = tune.key.tonic.pitch_class, Key.parse(str(found["key"])).tonic.pitch_class
    limits = limits_at(int(str(found["level"])), UKULELE)
    chords = {change.chord for change in tune.changes if change.chord is not None}
    roots = "C Db D Eb E F F# G Ab A Bb B".split()
    for chord in chords:
        moved = roots[(chord.root.pitch_class + key - home) % 12]
        symbol = chord.over(None).symbol.removeprefix(chord.root.name)
        shapes = playable(Chord.parse(moved + symbol), UKULELE, limits)
        if any(None in shape.frets for shape in shapes):
            return True
    return False


def test_two_bars_counted_by_hand() -> None:
    """C6 0-0-0-0, C sharp dim 0-1-0-1 for the last half of its bar, Dm7 2-2-1-3.

    From 67 60 64 69 to 67 61 64 70 it is 2 semitones, on to 69 62 65 72 another 6.  The top goes
    up 1 and 2; two frets change, then four.  All three are in the first position.
    Dm7 reaches from the wire of fret 1 to that of fret 3 of 381 mm.  One of four notes for a
    quarter of eight quarters of four notes is not in C major; half a bar at 120 lasts a second.
    The diminished seventh leads up a half step to D.
    As written 67 60 64 69 goes to 69 62 65 72, eight semitones at one change.  The bar of silence
    before it changes nothing but that places later in a phrase are wanted more.
    """
    found = row(tune_of("| N.C. | C6 | Dm7 |"))
    assert {name: found[name] for name in ("title", "written", "key", "instrument", "level")} == {
        "title": "Bollard Exercise",
        "written": "C major",
        "key": "C major",
        "instrument": "ukulele",
        "level": 1,
    }
    counted = {
        "bars": 3, "places": 1, "taken": 1, "past": 0, "semitones": 8, "greatest_movement": 6,
        "greatest_leap": 2, "clashes": 0,
        "mean_movement": 4.0, "top_line": 3, "strings": 6, "travel_frets": 0,
        "widest_mm": round(381 * (2 ** (-1 / 12) - 2 ** (-3 / 12)), 4), "shapes": 3,
        "highest_fret": 3, "added": 1, "changes": 2, "changes_a_bar": 0.6667,
        "least_seconds": 1.0, "outside": round(100 * 2 * 2 / (8 * 4), 4), "added_clashes": 0,
        "dominants": 1, "resolved": 1, "written_mean_movement": 8.0, "written_shapes": 2,
        "written_highest_fret": 3, "written_past": 0, "error": "",
    }  # fmt: skip
    assert {name: found[name] for name in counted} == counted


def test_a_place_that_is_missed_for_want_of_shapes_costs_as_one_that_is_not_taken() -> None:
    """C6 for a bar at 300 a minute, its half of .4 s is too short: the rules offer nothing."""
    assert row(tune_of("| C6 | Dm7 |", tempo=300))["places"] == 0
    plain = row(tune_of("| C6 | Dm7 |"), moves=())
    assert (plain["places"], plain["cost"]) == (0, plain["written_cost"])
    # On three strings no diminished seventh has all its notes, and the rule is the same.
    three = Instrument.parse("G4 C4 E4", scale_mm=381, frets=2)
    missed = row(tune_of("| C | Dm |"), three)
    assert (missed["places"], missed["taken"]) == (1, 0)
    assert missed["cost"] == missed["written_cost"] + 4 * Weights().chance


def test_a_row_is_what_the_search_finds() -> None:
    tune = read_tune(find_data("tunes", "slack_water_waltz"))
    for found in cells(tune, GUITAR, 2, (0, 5), USUAL):
        moved = tune if found["key"] == "F major" else tune.transpose("-P4")
        limits = limits_at(2, GUITAR)
        best = reharmonise(moved, GUITAR, k=1, wishes=Wishes(limits=limits, density="full"))[0]
        measured = measure(best)
        assert {name: found[name] for name in UNITS} == {
            name: pytest.approx(getattr(measured, name), abs=1e-4) for name in UNITS
        }
        missed = found["places"] - found["taken"]
        assert 0 <= found["cost"] - best.cost <= missed * 4 * Weights().chance


def test_a_key_higher_on_strings_tuned_higher_is_the_same_work() -> None:
    """A tone up on A D F sharp B is the ukulele's own key on G C E A: every number."""
    higher = replace(UKULELE, strings=Instrument.parse("A4 D4 F#4 B4").strings)
    tune = made_tune(1)
    low = cells(tune, UKULELE, 1, ALL, USUAL)
    high = cells(tune, higher, 1, (*ALL[2:], 0, 1), USUAL)
    for one, other in zip(low, high, strict=True):
        assert {**one, "key": ""} == {**other, "key": ""}


@given(tunes(bars=4))
@settings(max_examples=8)
def test_places_are_the_tunes_own_and_more_reach_never_costs(tune: Tune) -> None:
    """Where moves may go follows from the tune, in whatever key; a freer hand pays no more.

    A hand that has no shape of a chord with all strings sounding mutes an outer one; a freer hand
    that has one does not, and may pay more.  The third level has prices of its own.
    """
    by_level = [cells(tune, UKULELE, level, (0, 3, 7), USUAL) for level in (1, 2, 3)]
    assert len({row["places"] for rows in by_level for row in rows}) == 1
    assert all(0 <= row["taken"] <= row["places"] for rows in by_level for row in rows)
    for easy, hard in [by_level[:2]]:
        for one, other in zip(easy, hard, strict=True):
            if not muted(tune, one):
                assert one["past"] or other["cost"] <= one["cost"]
                assert one["written_past"] or other["written_cost"] <= one["written_cost"]


@pytest.mark.parametrize("kind", ["", "6", "7"])
def test_shapes_past_the_limits_are_counted_where_no_other_is_within(kind: str) -> None:
    """Every fretting up to fret 5 is tried: one that sounds the chord and can be held, or none.

    An outer string may be muted.
    """
    limits = limits_at(1, UKULELE)
    frets, outer = range(limits.max_fret + 1), (None, *range(limits.max_fret + 1))
    frettings = [f for f in product(outer, frets, frets, outer) if f.count(None) < 2]
    seen = set()
    for name in "C Db D Eb E F Gb G Ab A Bb B".split():
        pcs = set(Chord.parse(name + kind).pcs)
        within = any(
            {(o + f) % 12 for o, f in zip((67, 60, 64, 69), shape, strict=True) if f is not None}
            == pcs
            and can_hold(shape, UKULELE, limits)
            for shape in frettings
        )
        found = row(tune_of(f"| {name}{kind} |"), moves=())
        assert found["past"] == found["written_past"] == (0 if within else 1)
        seen.add(within)
    assert True in seen and (kind != "6" or False in seen)


def test_what_no_hand_can_play_is_said_in_the_row() -> None:
    stiff = Instrument.parse("C4 C4 C4", scale_mm=2000, frets=12)
    (found,) = cells(tune_of("| C#7 | C#7 |"), stiff, 1, (), ())
    assert "has no shape" in str(found["error"]) and found["cost"] is None
    assert found["key"] == "C major" and found["bars"] == 2


def test_a_fault_of_our_own_is_said_too(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("oh\nno")

    monkeypatch.setattr("harmonykit.arrange.survey.cells.search_space", broken)
    (found,) = cells(tune_of("| C |"), UKULELE, 1, (), ())
    assert found["error"] == "stopped by an error: ZeroDivisionError: oh no"


def test_what_is_read() -> None:
    good = find_data("tunes", "slack_water_waltz").read_bytes()
    tune = read("waltz.toml", good)
    assert isinstance(tune, Tune) and tune.title == "Slack Water Waltz"
    assert "format" in str(read("waltz.toml", good.replace(b"format = 1", b"format = 7")))
    assert str(read("waltz.doc", good)).startswith("waltz.doc is not a tune file")
    # A form of a thousand sections is more than anybody plays.
    long = good.replace(b"format = 1", b'format = 1\nform = ["A"' + b', "A"' * 5000 + b"]")
    assert isinstance(read("waltz.toml", long), str)


def test_a_title_is_one_plain_line() -> None:
    assert empty_row("a\r\n b\0\x1b[31m", "")["title"] == "a b[31m"


@pytest.mark.parametrize("level", [1, 2, 3])
def test_keys_with_open_shapes_are_the_easier_ones_on_a_ukulele(level: int) -> None:
    """Common practice, no source: C, F, G, A and D before B, F sharp and D flat."""
    tune = Tune.parse("| C | F | G7 | C |")
    found = cells(tune, UKULELE, level, tuple(range(12)), ())
    ease = {str(row["key"]).split()[0]: row["written_playability"] for row in found}
    assert max(ease[key] for key in "CFGAD") < min(ease[key] for key in ("B", "Gb", "Db"))  # type: ignore[type-var]
