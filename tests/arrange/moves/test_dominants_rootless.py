"""The diminished seventh for a dominant, rule by rule: what obeys, and what breaks it.

All rules are common practice, no source; expected values were written by hand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_tunes import insertions, offers, rules, tune_of

from harmonykit.arrange.moves import Refused, Variant
from harmonykit.arrange.moves.placing import HELD_BASS, IN_A_ROW, REPEATS
from harmonykit.theory.chord import Chord

MOVE = "rootless dominant"
HEAVIER = "the chord that follows must be on a stronger beat"
BDIM = "Bdim7"


def names(changes: str, **more: str) -> set[str]:
    """Return which chords the move puts into a tune."""
    found = insertions(MOVE, tune_of(changes, **more))
    return {symbol for variant in found for symbol, *_ in variant}


def test_whole_or_in_its_last_beats() -> None:
    whole, late = insertions(MOVE, tune_of("| G7 | C6 |"))
    assert whole == [(BDIM, 0, 4)]
    assert late == [(BDIM, 2, 2)]


def test_a_whole_dominant_of_two_bars_has_a_part_a_bar() -> None:
    whole, late = insertions(MOVE, tune_of("| G7 | G7 | C6 |"))
    assert whole == [(BDIM, 0, 4), (BDIM, 4, 4)]
    assert late == [(BDIM, 6, 2)]


def test_what_each_variant_asks_of_its_neighbours() -> None:
    whole, late = offers(MOVE, tune_of("| G7 | C6 |"))
    assert isinstance(whole, Variant) and isinstance(late, Variant)
    assert (whole.keeps_first, whole.needs_next) == (False, True)
    assert (late.keeps_first, late.needs_next) == (True, True)


@pytest.mark.parametrize(
    ("dominant", "target", "expected"),
    [
        # The third of the dominant: a semitone below the target's root, on the letter below.
        ("G7", "C6", "Bdim7"),
        ("A7", "Dm", "C#dim7"),
        ("F7", "Bbmaj7", "Adim7"),
        ("B7", "Em7", "D#dim7"),
        ("D7b9", "G7", "F#dim7"),
        ("Eb7", "Ab6", "Gdim7"),
        ("G7/B", "C6", "Bdim7"),
        ("G7/D", "C6", "Bdim7/D"),
        ("G7/F", "C/E", "Bdim7/F"),
    ],
)
def test_it_is_the_dominant_without_its_root(dominant: str, target: str, expected: str) -> None:
    assert names(f"| {dominant} | {target} |", key="Eb") == {expected}
    # Third, fifth and seventh of the dominant are three of its four notes (theory of the flat
    # ninth chord); the fourth is a semitone above the root.
    chord, root = Chord.parse(expected), Chord.parse(dominant).root.pitch_class
    assert set(chord.pcs) == {(root + n) % 12 for n in (1, 4, 7, 10)}


# Rule 8 -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("target", ["Am7", "F6", "Db6", "Gm7", "Em7"])
def test_it_resolves_down_a_fifth(target: str) -> None:
    assert rules(MOVE, tune_of(f"| G7 | {target} | F6 |"))[0] in (
        "the dominant must resolve down a fifth",
        HELD_BASS,
    )
    assert not names(f"| G7 | {target} | F6 |")


@pytest.mark.parametrize(
    ("symbol", "printed"),
    [("G9", "G9"), ("G13", "G13"), ("G7sus4", "G7sus4"), ("G7#11", "G7♯11"), ("G7#5", "G7♯5")],
)
def test_it_is_written_seven_or_seven_flat_nine(symbol: str, printed: str) -> None:
    (answer, _) = rules(MOVE, tune_of(f"| {symbol} | C6 | G7 |"))
    assert answer.endswith("is not written 7 or 7♭9")
    assert answer.startswith(Chord.parse(symbol).unicode)
    assert Chord.parse(symbol) == Chord.parse(printed)


@pytest.mark.parametrize("symbol", ["C6", "Gm7", "G", "Gmaj7", "Bdim7", "Bm7b5"])
def test_what_is_no_dominant_is_no_case_for_it(symbol: str) -> None:
    assert not offers(MOVE, tune_of(f"| {symbol} | C6 |"))


def test_a_blues_i7_and_iv7_are_at_home() -> None:
    """Twelve bars of I7, IV7 and V7 in F: none gives way, not even where the root falls a fifth."""
    answers = rules(MOVE, tune_of("| F7 | Bb7 | F7 | F7 | Bb7 | Eb7 |", key="F"))
    assert "F7 is the I7 or IV7 of a blues, which does not resolve" in answers
    assert "B♭7 is the I7 or IV7 of a blues, which does not resolve" in answers
    assert not names("| F7 | Bb7 | F7 | F7 | Bb7 | Eb7 |", key="F")


def test_the_dominant_of_the_fourth_degree_is_no_blues_chord() -> None:
    assert names("| F7 | Bb6 | F6 |", key="F") == {"Adim7"}


def test_the_flat_seventh_degree_of_a_major_key_stays() -> None:
    assert not names("| Bb7 | Eb6 | C6 |", key="C")
    answer = rules(MOVE, tune_of("| Bb7 | Eb6 | C6 |", key="C"))[0]
    assert answer == "B♭7 is ♭VII7, which does not resolve down a fifth"


def test_in_a_minor_key_that_degree_leads_to_the_relative_major() -> None:
    assert names("| G7 | C6 | Am |", key="Am") == {BDIM}


# Over G7: R+2, R+5, R+8 and R+11 are A, C, E flat and F sharp.
@pytest.mark.parametrize("note", ["A4", "C5", "Eb5", "F#5"])
def test_under_these_melody_notes_the_root_stays(note: str) -> None:
    tune = tune_of("| G7 | C6 |", melody=f"| {note}:4 | |")
    assert not insertions(MOVE, tune)
    assert "is a semitone above a chord tone of B°7" in rules(MOVE, tune)[0]


@pytest.mark.parametrize("note", ["G4", "Ab4", "Bb4", "B4", "C#5", "D5", "E5", "F5"])
def test_other_melody_notes_do_not_clash(note: str) -> None:
    assert len(insertions(MOVE, tune_of("| G7 | C6 |", melody=f"| {note}:4 | |"))) == 2


def test_the_late_half_may_do_where_the_whole_does_not() -> None:
    assert insertions(MOVE, tune_of("| G7 | C6 |", melody="| C5:1 B4:3 | |")) == [[(BDIM, 2, 2)]]
    assert insertions(MOVE, tune_of("| G7 | C6 |", melody="| B4:2 C5:2 | |")) == []


def test_beats_are_those_of_each_bar_in_a_dominant_of_two() -> None:
    """A short C between the beats of the second bar passes; on its beat it clashes."""
    fine = tune_of("| G7 | G7 | C6 |", meter="6/8", melody="| | r:1 C5:1/4 | |")
    assert insertions(MOVE, fine)[0][0] == (BDIM, 0, 3)
    rough = tune_of("| G7 | G7 | C6 |", meter="6/8", melody="| | r:3/2 C5:1/4 | |")
    assert not insertions(MOVE, rough)


# The other rules ------------------------------------------------------------------------------


def test_to_a_lighter_beat_it_does_not_lead() -> None:
    assert rules(MOVE, tune_of("| G7 C6 | F6 |")) == [HEAVIER]
    # The late beat of G7 is lighter than beat three, so that it may lead there.
    assert insertions(MOVE, tune_of("| G7 C6 | F6 |")) == [[(BDIM, 1, 1)]]


def test_a_dominant_that_goes_on_from_before_gives_only_its_last_beats() -> None:
    """Bar 3 of G7 starts on no lighter beat than its target, and is not the whole of it."""
    assert insertions(MOVE, tune_of("| G7 | G7 | G7 | C6 |")) == [[(BDIM, 10, 2)]]
    assert insertions(MOVE, tune_of("| C6 / / G7 | G7 | C6 |")) == [[(BDIM, 6, 2)]]


def test_from_a_light_beat_it_leads_whole() -> None:
    assert insertions(MOVE, tune_of("| Dm7 G7 | C6 |")) == [[(BDIM, 2, 2)], [(BDIM, 3, 1)]]
    assert insertions(MOVE, tune_of("| Dm7 / G7 | C6 |", meter="3/4")) == [[(BDIM, 2, 1)]]


def test_where_the_chord_repeats_or_the_bass_is_held_there_is_none() -> None:
    assert rules(MOVE, tune_of("| G7/C | C6 |"))[0] == HELD_BASS
    repeated = rules(MOVE, tune_of("| G7 | G7 | G7 | C6 |"))
    assert repeated[0] == REPEATS


def test_a_bass_that_it_would_lose_is_kept() -> None:
    """G7 over A: the chart asks for a bass that is no tone of B diminished."""
    assert rules(MOVE, tune_of("| G7/A | C6 |"))[0] == "the chart has another bass under the chord"
    assert rules(MOVE, tune_of("| G7/C# | C6 |"))[0] == "the chart has another bass under the chord"


def test_two_diminished_sevenths_in_a_row_are_for_a_climb() -> None:
    in_a_row = IN_A_ROW
    assert rules(MOVE, tune_of("| G7 | Cdim7 | C6 |")) == [in_a_row]
    after_one = tune_of("| C#dim7 | G7 | C6 |")
    assert rules(MOVE, after_one) == [in_a_row]
    # With two beats of G7 between them they are not in a row.
    assert insertions(MOVE, after_one) == [[(BDIM, 6, 2)]]


def test_into_silence_and_at_the_end_there_is_none() -> None:
    assert rules(MOVE, tune_of("| G7 | N.C. | C6 |")) == ["not into N.C."]
    assert rules(MOVE, tune_of("| C6 | G7 |")) == ["not on the final chord"]


def test_across_an_edge_it_goes_by_setting() -> None:
    tune = tune_of("| C6 | G7 |", more='form = ["A", "A"]')
    assert len(insertions(MOVE, tune)) == 2
    assert (
        rules(MOVE, tune, across_sections=False)[0]
        == "not across the end of a section, as you chose"
    )


@pytest.mark.parametrize(("tempo", "whole"), [(120, True), (125, False)])
def test_it_lasts_as_long_as_the_level_asks(tempo: float, whole: bool) -> None:
    """Two beats at 120 quarter notes a minute are one second; the single late beat never is."""
    tune = tune_of("| Dm7 G7 | C6 |", tempo=tempo)
    found = insertions(MOVE, tune, least_seconds=1.0)
    assert found == ([[(BDIM, 2, 2)]] if whole else [])
    if not whole:
        assert rules(MOVE, tune, least_seconds=1.0) == [
            "a chord must last at least 1 s at this tempo"
        ]


@pytest.mark.parametrize(
    ("dominant", "reason"),
    [
        (
            "G7",
            "B°7 replaces G7 as its ♭9 chord without the root: "
            "A♭, a half step above, replaces G; B, D and F stay",
        ),
        ("G7b9", "B°7 is G7♭9 without its root: G is left out; B, D, F and A♭ stay"),
    ],
)
def test_the_reason_names_what_moves(dominant: str, reason: str) -> None:
    found = [f for f in offers(MOVE, tune_of(f"| {dominant} | C6 |")) if isinstance(f, Variant)]
    assert {part.reason for v in found for part in v.parts if part.move} == {reason}


def test_lengths_in_compound_time() -> None:
    found = insertions(MOVE, tune_of("| G7 | C6 |", meter="6/8"))
    assert found == [[(BDIM, 0, 3)], [(BDIM, Fraction(3, 2), Fraction(3, 2))]]


def test_a_refusal_says_one_rule() -> None:
    answers = offers(MOVE, tune_of("| G9 | C6 |"))
    assert answers == [Refused("G9 is not written 7 or 7♭9")]
