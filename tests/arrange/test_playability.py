"""How hard tunes and shapes are: worked by hand, laws, what players say, and the ratings."""

from __future__ import annotations

import math
import os
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.arrange.playability import (
    BY_RATINGS,
    BY_RULE,
    first_shape,
    of_steps,
    open_share,
    playability,
    song_features,
)
from harmonykit.arrange.search import reharmonise
from harmonykit.errors import HarmonyError
from harmonykit.evidence.weights import read_model
from harmonykit.fretboard.shapes.ranking import candidates
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.fretboard.strings.shipped import names
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
KEYS = "C Db D Eb E F F# G Ab A Bb B".split()


def three_chords(tonic: str, tempo: float = 100, four: str = "F", five: str = "G7") -> Tune:
    """Return eight bars of I, IV and V7 in a key."""
    half = f"| C | {four} | {five} | C "
    tune = replace(Tune.parse(half + half + "|"), key=Key.parse("C"), tempo=tempo)
    return tune.transpose(Key.parse("C").tonic.interval_to(Key.parse(tonic).tonic))


def test_the_features_of_eight_bars_by_hand() -> None:
    """C half of the time, F and G7 a quarter each: 1.5 bits; two kinds; none uncommon.

    Six changes (C C in the middle is none) in 8 × 4 quarters at 100: 19.2 s.
    """
    steps = [
        (change.chord, first_shape(change.chord, UKULELE), float(change.beats))
        for change in three_chords("C").changes
        if change.chord
    ]
    variety, kinds, uncommon, rate, _ = song_features(steps, 19.2)
    assert variety == pytest.approx(1.5)
    assert (kinds, uncommon) == (2, 0)
    assert rate == pytest.approx(math.log2(6 / 19.2))


def test_the_number_is_the_sum_of_its_parts() -> None:
    found = playability(three_chords("C"), "ukulele")
    total = read_model("playability").base + sum(part.points for part in found.parts)
    assert found.number == pytest.approx(total)
    assert found.basis == BY_RATINGS
    assert found["hand"].unit == "marks"


def test_what_is_harder_has_a_higher_number() -> None:
    """Common practice, no source: faster, with barres, with more kinds of chord, is harder."""
    plain = playability(three_chords("G"), "guitar").number
    assert playability(three_chords("G", tempo=200), "guitar").number > plain
    assert playability(three_chords("Ab"), "guitar").number > plain
    assert playability(three_chords("G", four="F6/9", five="G13"), "guitar").number > plain


def test_an_arrangement_is_rated_by_its_own_shapes() -> None:
    tune = three_chords("C")
    found = reharmonise(tune, UKULELE, k=1)[0]
    plain = reharmonise(tune, UKULELE, (), k=1)[0]
    assert found.added
    assert playability(found).number > playability(plain).number


@given(st.floats(0.5, 2.0), st.floats(1, 60))
def test_only_the_rate_hears_the_unit_of_time(unit: float, seconds: float) -> None:
    """Times in quarters or in halves are the same shares."""
    pairs = [(Chord.parse("C"), "0003", 3.0), (Chord.parse("F"), "2010", 1.0)]
    steps = [(chord, Voicing.parse(digits, UKULELE), time) for chord, digits, time in pairs]
    other = [(chord, shape, unit * time) for chord, shape, time in steps]
    assert song_features(other, seconds) == pytest.approx(song_features(steps, seconds))


@pytest.mark.parametrize("row", rows("usual_shapes"), ids=lambda row: row["chord"])
def test_a_usual_shape_stands_before_most_others_of_its_chord(row: dict[str, str]) -> None:
    """Common practice, no source: of all shapes that a hand holds, three in four are odder."""
    chord, neck = Chord.parse(row["chord"]), Instrument.named(row["instrument"])
    own = playability(Voicing.parse(row["frets"], neck), chord=chord)
    others = [playability(shape, chord=chord).number for shape in candidates(chord, neck)]
    assert own.basis == BY_RULE
    assert sum(number < own.number for number in others) <= len(others) / 4 + 1


# Other tunings of the guitar, which take longest, are among the long tests but for one.
NECKS = [
    pytest.param(name, marks=pytest.mark.long)
    if name.startswith("guitar ") and name != "guitar DADGAD"
    else name
    for name in names()
]


@pytest.mark.parametrize("name", NECKS)
def test_keys_with_open_shapes_come_before_those_without(name: str) -> None:
    """Common practice, no source: in its open keys an instrument is easy."""
    neck = Instrument.named(name)
    numbers = {key: playability(three_chords(key), neck).number for key in KEYS}
    opens = {
        key: [
            0 in first_shape(change.chord, neck).frets
            for change in three_chords(key).changes
            if change.chord
        ]
        for key in KEYS
    }
    easy = [numbers[key] for key in KEYS if all(opens[key])]
    hard = [numbers[key] for key in KEYS if not any(opens[key])]
    assert max(easy, default=0) < min(hard, default=99)


def test_the_share_of_open_shapes_counts_time_not_changes() -> None:
    """By hand: C 0-0-0-3 for three beats of four, D flat 1-1-1-4 for one, then silence."""
    assert open_share(Tune.parse("| C . . Db |"), UKULELE) == 75
    assert open_share(Tune.parse("| C . . Db | N.C. |"), UKULELE) == 75


def test_on_the_ukulele_the_easy_keys_are_those_that_players_name() -> None:
    """Common practice, no source: C, F, G, A and D before B, F sharp and D flat."""
    numbers = {key: playability(three_chords(key), "ukulele").number for key in KEYS}
    assert max(numbers[key] for key in "CFGAD") < min(numbers[key] for key in ("B", "F#", "Db"))


def test_where_nothing_sounds_or_nothing_fits_it_is_said() -> None:
    with pytest.raises(HarmonyError, match="no chord sounds"):
        of_steps([], 10)
    with pytest.raises(HarmonyError, match="no_such_tune"):
        playability("no_such_tune")
    with pytest.raises(HarmonyError, match="a tune"):
        playability(5)  # type: ignore[arg-type]


# Where HARMONYKIT_EVIDENCE names the folder of the collections, which are not in this project.
FOLDER = os.environ.get("HARMONYKIT_EVIDENCE", "")

if FOLDER:

    @pytest.mark.long
    def test_the_figures_are_those_that_were_wanted() -> None:
        """Half of the songs of Vásquez et al. 2023."""
        sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "shared" / "evidence"))
        import fit_playability as script
        import numpy as np
        from collection import plain_pieces, twins

        songs = script.read_songs(Path(FOLDER))
        groups = twins(plain_pieces(Path(FOLDER)))
        ratings = np.array([song.rating for song in songs])
        labels = np.array([float(song.labels) for song in songs])
        numbers = script.left_out(np.array([song.row for song in songs]), ratings, groups)
        assert script.rank_correlation(numbers, ratings) >= 0.77
        own, alone = script.resampled(ratings, numbers, labels, groups)
        assert (own <= alone).mean() < 0.05


# What beginners learn first: common practice, no source.
@pytest.mark.parametrize(
    ("easier", "harder"),
    [
        (("x32010", "C"), ("133211", "F")),
        (("xx3211", "F"), ("133211", "F")),
        (("x32010", "C"), ("x35553", "C")),
        (("320001", "G7"), ("x24432", "Bm")),
        (("xx0231", "Dm"), ("x13331", "Bb")),
        (("022000", "Em"), ("x32010", "C")),
        (("320003", "G"), ("355433", "G")),
    ],
)
def test_open_shapes_are_easier_than_barres(
    easier: tuple[str, str], harder: tuple[str, str]
) -> None:
    low, high = (
        playability(Voicing.parse(frets, "guitar"), chord=chord).number
        for frets, chord in (easier, harder)
    )
    assert low + 0.5 < high
