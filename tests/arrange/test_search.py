"""Whole tunes: what sounds is what is written over it, within the hand, bar by bar."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_tunes import EAGER, KINDS, NOTHING, tune_of, tunes

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits, limits_at
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.tones import usual_omissions
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune

SHIPPED = ("heron_landing", "slack_water_waltz")
NAMES = ("ukulele", "ukulele low g", "baritone ukulele", "guitar")
UKULELE = Instrument.named("ukulele")
LEADING = ["leading-tone diminished"]
# The least seconds a chord, by level (common practice, no source).
LEAST = {1: 2.0, 2: 1.0, 3: 0.5}


def shipped(name: str) -> Tune:
    return read_tune(find_data("tunes", name))


def check(found: Arrangement, limits: Limits) -> None:
    """Check what holds for every arrangement, whatever the tune."""
    tune, instrument = found.tune, found.instrument
    reached = Fraction(0)
    for step in found.steps:
        assert step.onset == reached and step.beats > 0
        played = tune.playing[step.bar]
        assert played.onset <= step.onset
        reached += step.beats
        assert reached <= played.onset + played.bar.length
        assert (step.chord is None) == (step.voicing is None)
        if step.chord is None or step.voicing is None:
            assert step.written is None and not step.move
            continue
        sounding = {pitch % 12 for pitch in step.voicing.sounding}
        root = step.chord.root.pitch_class
        tones = {(root + n) % 12 for n in step.chord.semitones}
        spare = {(root + n) % 12 for n in usual_omissions(step.chord, len(instrument.strings))}
        on_guitar = len(instrument.strings) > 4
        assert sounding <= tones | ({step.chord.bass.pitch_class} if on_guitar else set())
        assert tones - spare <= sounding
        told = (re.split(" has | have ", n)[0] for n in found.notes if "within these limits" in n)
        past = any(step.chord.unicode in re.split(", | and ", names) for names in told)
        hand = Limits() if past else limits
        assert fit(step.voicing.frets, instrument, hand) is not None
        assert step.voicing.highest_fret <= hand.max_fret
    assert reached == tune.length
    assert sum(len(bar) for bar in found.bars()) == len(found.steps)


def check_written(found: Arrangement) -> None:
    """Check that each step says what the tune has at its moment."""
    changes = found.tune.changes
    for step in found.steps:
        (change,) = [c for c in changes if c.onset <= step.onset and step.onset < c.onset + c.beats]
        assert step.written == change.chord
        assert step.onset + step.beats <= change.onset + change.beats or step.move == ""


@pytest.mark.parametrize("level", [1, 2, 3])
@pytest.mark.parametrize("instrument", NAMES)
@pytest.mark.parametrize("tune", SHIPPED)
def test_the_shipped_tunes_on_every_instrument_at_every_level(
    tune: str, instrument: str, level: int
) -> None:
    neck = Instrument.named(instrument)
    limits = limits_at(level, neck)
    found = reharmonise(
        shipped(tune), neck, k=3, wishes=Wishes(limits=limits, least_seconds=LEAST[level])
    )
    assert [a.cost for a in found] == sorted(a.cost for a in found)
    for arrangement in found:
        check(arrangement, limits)
        check_written(arrangement)
    again = reharmonise(
        shipped(tune), neck, k=3, wishes=Wishes(limits=limits, least_seconds=LEAST[level])
    )
    assert again == found


@given(tunes(bars=5), st.integers(1, 3))
@settings(max_examples=settings().max_examples // 2)
def test_any_tune(tune: Tune, k: int) -> None:
    for arrangement in reharmonise(tune, UKULELE, k=k):
        check(arrangement, Limits())


def test_no_move_plays_the_tune_as_written() -> None:
    tune = shipped("heron_landing")
    (best,) = reharmonise(tune, UKULELE, moves=[], k=1)
    assert [s.chord for s in best.steps] == [s.written for s in best.steps]
    assert not best.added and len(best.steps) == len(tune.playing)  # a chord a bar


def test_each_move_is_used_on_the_shipped_tunes() -> None:
    """Heron Landing and the waltz have no sixth chord that would be a better dominant under its
    other name."""
    for name in set(MOVES) - {"chord synonym"}:
        used = [
            {
                step.move
                for step in reharmonise(
                    shipped(tune), UKULELE, [name], 1, wishes=Wishes(weights=EAGER)
                )[0].added
            }
            for tune in SHIPPED
        ]
        assert any(used) and all(moves <= {name, *KINDS.get(name, ())} for moves in used)
    for name in USUAL:
        for tune in SHIPPED:
            (best,) = reharmonise(shipped(tune), UKULELE, [name], k=1, wishes=Wishes(weights=EAGER))
            said = {step.move for step in best.added}
            assert said and said <= {name, *KINDS.get(name, ())}


def test_eight_bars_of_heron_landing_by_hand() -> None:
    """Bars 17 to 24 (D6 D6 Em7 Em7 A7 A7 D6 D7), then G6, with the approach alone.

    Before Em7 stands D sharp dim, before A7 G sharp dim, on the last two beats; before D6 none (A7
    is its parent), before D7 none (the root stays), before G6 none (D7 is its parent).
    """
    (best,) = reharmonise(
        shipped("heron_landing"), UKULELE, LEADING, 1, wishes=Wishes(weights=EAGER)
    )
    found = [s for s in best.added if 16 <= s.bar < 24]
    assert [(s.bar, str(s.chord), s.onset % 4, s.beats) for s in found] == [
        (17, "D#dim7", 2, 2),
        (19, "G#dim7", 2, 2),
    ]


def test_preferring_a_move_uses_it_where_it_fits() -> None:
    tune = tune_of("| C6 | C6 | Dm7 |")
    for name, said in (
        ("leading-tone diminished", "passing diminished"),
        ("ascending walk", "ascending walk"),
    ):
        (best,) = reharmonise(tune, UKULELE, k=1, wishes=Wishes(prefer=name, weights=EAGER))
        assert {step.move for step in best.added} == {said}


def test_a_preferred_move_that_cannot_be_played_leaves_the_others_their_chance() -> None:
    """Within two frets no walk on C6 goes far: a passing diminished is then no chance missed."""
    tune = tune_of("| C6 | C6 | Dm7 |")
    (best,) = reharmonise(
        tune, UKULELE, k=1, wishes=Wishes(prefer="ascending walk", limits=Limits(3))
    )
    assert {step.move for step in best.added} == {"passing diminished"}


@pytest.mark.parametrize(("tempo", "count"), [(60, 1), (120, 1), (121, 0), (240, 0)])
def test_a_quicker_tempo_keeps_out_what_is_too_short(tempo: float, count: int) -> None:
    """Two beats are a second at 120; the tune's own tempo is not the one that counts."""
    tune = tune_of("| C6 | Dm7 |", tempo=100)
    (best,) = reharmonise(
        tune, UKULELE, LEADING, 1, wishes=Wishes(tempo=tempo, least_seconds=1.0, weights=EAGER)
    )
    assert (len(best.added), best.tempo) == (count, tempo)


def test_a_higher_level_of_least_seconds_never_puts_in_more() -> None:
    tune = shipped("heron_landing")
    counts = [
        len(reharmonise(tune, UKULELE, k=1, wishes=Wishes(least_seconds=least))[0].added)
        for least in (0.5, 1.0, 2.0, 4.0, 9.0)
    ]
    assert counts == sorted(counts, reverse=True) and counts[-1] == 0 < counts[0]


def test_silence_has_no_shape_and_nothing_leads_into_it() -> None:
    (best,) = reharmonise(
        tune_of("| C6 | N.C. | Dm7 | G7 |"), UKULELE, LEADING, 1, wishes=Wishes(weights=EAGER)
    )
    assert [str(step.chord) for step in best.steps] == ["C6", "None", "Dm7", "F#dim7", "G7"]
    assert best.steps[1].voicing is None and len(best.sounding) == 4


def test_a_pickup_keeps_its_place() -> None:
    (best,) = reharmonise(
        tune_of("| {2 quarters} C6 | Dm7 | G7 |"), UKULELE, LEADING, 1, wishes=Wishes(weights=EAGER)
    )
    assert [(str(s.chord), s.onset, s.beats, s.bar) for s in best.steps] == [
        ("C6", 0, 1, 0),
        ("C#dim7", 1, 1, 0),
        ("Dm7", 2, 2, 1),
        ("F#dim7", 4, 2, 1),
        ("G7", 6, 4, 2),
    ]


def test_refusals_say_where_and_why() -> None:
    (best,) = reharmonise(tune_of("| E7 | Am | C6 |"), UKULELE, LEADING, k=1)
    first, *_ = best.refusals
    assert (first.move, first.bar, first.chord) == ("leading-tone diminished", 0, "E7")
    assert first.rule == "E7 is already one of the four dominants of G♯°7"


def test_across_sections_is_a_setting() -> None:
    tune = tune_of("| C6 | Dm7 |", more='form = ["A", "A"]')
    whole, inside = (
        reharmonise(
            tune, UKULELE, LEADING, 1, wishes=Wishes(across_sections=across, weights=EAGER)
        )[0].added
        for across in (True, False)
    )
    assert ([s.bar for s in whole], [s.bar for s in inside]) == ([0, 1, 2], [0, 2])


def test_weights_steer_the_choice() -> None:
    """Where only the height counts, the shapes stay by the nut; where only the top, it is still."""
    tune = shipped("slack_water_waltz")
    nothing, low, top = NOTHING, replace(NOTHING, height=1), replace(NOTHING, top=1)
    (near,) = reharmonise(tune, UKULELE, [], 1, wishes=Wishes(weights=low))
    (still,) = reharmonise(tune, UKULELE, [], 1, wishes=Wishes(weights=top))
    (free,) = reharmonise(tune, UKULELE, [], 1, wishes=Wishes(weights=nothing))
    assert near.cost == sum(s.voicing.highest_fret for s in near.sounding if s.voicing)
    assert free.cost == 0
    tops = [max(step.sounds) for step in still.sounding]
    moved = sum(abs(a - b) for a, b in zip(tops, tops[1:], strict=False))
    assert still.cost == moved


def _ask(tune: Tune, moves: Any = USUAL, k: Any = 5, **wishes: Any) -> None:
    reharmonise(tune, UKULELE, moves, k, wishes=Wishes(**wishes))


@pytest.mark.parametrize(
    ("settings_", "message"),
    [
        ({"k": 0}, "k is 0"),
        ({"tempo": 0}, "a tempo of 0"),
        ({"tempo": float("nan")}, "tempo is nan"),
        ({"least_seconds": -1.0}, "least_seconds is -1.0"),
        ({"moves": ["climbs"]}, "unknown move 'climbs'"),
        ({"moves": "ascending walk"}, "moves is the text 'ascending walk'"),
        ({"prefer": "dance"}, "unknown move 'dance'"),
        (
            {"moves": ["ascending walk"], "prefer": "leading-tone diminished"},
            "'leading-tone diminished' is preferred but not among",
        ),
    ],
)
def test_what_cannot_be_asked_for_is_said(settings_: dict[str, object], message: str) -> None:
    with pytest.raises(HarmonyError, match=message):
        _ask(tune_of("| C6 | Dm7 |"), **settings_)


def test_a_chord_that_no_hand_can_hold_is_one_clear_error() -> None:
    unisons = Instrument.parse("C4 C4 C4", name="three unisons")
    with pytest.raises(HarmonyError, match=r"bar 2: F#m7b5 has no shape on three unisons"):
        reharmonise(tune_of("| C | F#m7b5 |"), unisons)


def test_an_inserted_chord_without_a_shape_is_left_out() -> None:
    """One-finger tuning: no diminished seventh there, and the tune is still played."""
    fifths = Instrument.parse("C4 G4 C5", name="drone")
    (best,) = reharmonise(tune_of("| C5 | F5 | C5 |"), fifths, k=1, wishes=Wishes(limits=Limits(7)))
    check(best, Limits(7))
    assert not best.added and not best.notes


def test_asking_for_a_move_twice_changes_nothing() -> None:
    tune = tune_of("| C6 | Dm7 |")
    once, twice = (reharmonise(tune, UKULELE, LEADING * n, k=4) for n in (1, 2))
    assert once == twice


@pytest.mark.parametrize("instrument", ["ukulele", "mandolin", "guitar"])
@pytest.mark.parametrize("move", ["rootless dominant", "rootless ninth"])
def test_an_added_chord_never_sounds_as_what_is_beside_it(instrument: str, move: str) -> None:
    """On four strings B°7 after G7♭9 is the grip that G7♭9 has (common practice, no source)."""
    tune = "| Bb6 | G7b9 | Cm7 | F7b9 | Bb6 | G9 | C9 | F9 | Bb6 |"
    (way,) = reharmonise(tune, instrument, [move], k=1, wishes=Wishes(density="full"))
    alike = [
        (str(one.chord), str(two.chord))
        for one, two in pairwise(way.steps)
        if one.chord != two.chord and (one.added or two.added) and one.sounds == two.sounds
    ]
    assert way.added and not alike
