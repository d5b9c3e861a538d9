"""The thirteen rules of a passing diminished seventh, one test each, on the smallest of tunes.

All are common practice, no source; the moves' own test files have more of each.
"""

from __future__ import annotations

import pytest
from small_tunes import EAGER, insertions, rules, tune_of

from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE = Instrument.named("ukulele")


def test_1_the_target_is_on_a_heavier_beat() -> None:
    assert insertions("leading-tone diminished", tune_of("| C6 | Dm7 |"))
    late = tune_of("| C6 / / Dm7 |")  # D minor on beat four, the chord before it on beat three
    assert rules("leading-tone diminished", late)[0] == (
        "the chord that follows must be on a stronger beat"
    )


@pytest.mark.parametrize("target", ["Dm7", "D6", "D7"])
def test_2_rising_passing_comes_from_a_whole_step_below(target: str) -> None:
    for before, word in (("C6", "passes up to"), ("Am7", "resolves to")):
        (way,) = reharmonise(
            tune_of(f"| {before} | {target} | G7 |"),
            UKULELE,
            ["leading-tone diminished"],
            1,
            wishes=Wishes(weights=EAGER),
        )
        assert f"C♯°7 {word} " in way.added[0].reason


def test_3_falling_wants_a_bass_a_whole_step_above_and_a_minor_target() -> None:
    assert insertions("descending passing diminished", tune_of("| Em7 | Dm7 |"))
    assert not insertions("descending passing diminished", tune_of("| Fm7 | Dm7 |"))
    assert not insertions("descending passing diminished", tune_of("| Em7 | D7 |"))
    (way,) = reharmonise(
        tune_of("| Em7 | Dm7 | G7 |"),
        UKULELE,
        ["descending passing diminished"],
        1,
        wishes=Wishes(weights=EAGER),
    )
    assert "dominant" not in way.added[0].reason


def test_4_an_auxiliary_stands_between_the_same_major_or_dominant_chord() -> None:
    for chord, allowed in (("C6", True), ("C7", True), ("C", True), ("Cm6", False)):
        assert (
            bool(insertions("common-tone diminished", tune_of(f"| {chord} | {chord} | Fm6 |")))
            == allowed
        )


def test_5_where_a_chord_repeats_only_auxiliary_and_climb_go_between() -> None:
    tune = tune_of("| C6 | C6 | C6 | C6 | F6 |")
    for move in (
        "leading-tone diminished",
        "descending passing diminished",
        "rootless dominant",
        "pedal point",
    ):
        first = [p for found in insertions(move, tune) for p in found if p[1] < 8]
        assert not first
    for move in ("common-tone diminished", "ascending walk", "descending walk"):
        assert any(p[1] < 8 for found in insertions(move, tune) for p in found)


def test_6_nothing_after_a_parent_and_no_two_diminished_sevenths() -> None:
    assert (
        rules("leading-tone diminished", tune_of("| E7 | Am |"))[0]
        == "E7 is already one of the four dominants of G♯°7"
    )
    assert not insertions("leading-tone diminished", tune_of("| Bdim7 | Am |"))
    both = reharmonise(tune_of("| C6 | G7 | C6 |"), UKULELE, list(MOVES), 8)
    for way in both:
        for a, b in zip(way.steps, way.steps[1:], strict=False):
            if a.chord and b.chord and a.chord.is_diminished_seventh and (a.move or b.move):
                assert not b.chord.is_diminished_seventh or a.chord == b.chord


@pytest.mark.parametrize("note", ["D5", "F5", "Ab5", "B4"])
def test_7_a_melody_note_a_semitone_above_a_tone_clashes(note: str) -> None:
    """Below D: D itself and the minor thirds above it; so an anticipated target root clashes."""
    held = tune_of("| C6 | Dm7 |", melody=f"| r:2 {note}:2 | r:4 |")
    assert not insertions("leading-tone diminished", held)
    short = tune_of("| C6 | Dm7 |", melody=f"| r:9/4 {note}:1/4 r:3/2 | r:4 |")
    assert insertions("leading-tone diminished", short)
    above = tune_of("| C6 | Dm7 |", melody="| r:2 Eb5:2 | r:4 |")  # a whole step above C sharp
    assert insertions("leading-tone diminished", above)


@pytest.mark.parametrize(
    "changes", ["| G9 | C6 |", "| G13 | C6 |", "| G7sus4 | C6 |", "| G7#11 | C6 |", "| C7 | F7 |",
                "| G7 | Am7 |", "| Bb7 | C6 |"],
)  # fmt: skip
def test_8_the_dominant_is_written_seven_and_resolves_down_a_fifth(changes: str) -> None:
    assert not insertions("rootless dominant", tune_of(changes))
    assert insertions("rootless dominant", tune_of("| G7 | C6 |"))


@pytest.mark.parametrize("above", [2, 5, 8, 11])
def test_8_not_under_these_melody_notes(above: int) -> None:
    from harmonykit.theory.note import Note

    name = str(Note.from_midi(67 + above))
    tune = tune_of("| G7 | C6 |", melody=f"| {name}:4 | r:4 |")
    assert not insertions("rootless dominant", tune)


def test_9_over_a_held_bass_only_a_held_bass() -> None:
    tune = tune_of("| C/G | G7 |")
    assert not insertions("leading-tone diminished", tune)
    assert insertions("pedal point", tune) == [[("F#dim7/G", 2, 2)]]


def test_10_none_after_a_fermata_into_silence_or_on_the_final_chord() -> None:
    for move in (
        "leading-tone diminished",
        "descending passing diminished",
        "rootless dominant",
        "tritone substitution",
    ):
        for changes in (
            "| Em7 {fermata@1} | Dm7 |",
            "| G7 {fermata@2} | C6 |",
            "| G7 | N.C. | C6 |",
            "| Em7 | N.C. | Dm7 |",
        ):
            found = [put for variant in insertions(move, tune_of(changes)) for put in variant]
            assert all(onset >= 4 for _, onset, _ in found)
    assert "not after a fermata" in rules(
        "leading-tone diminished", tune_of("| C6 {fermata@1} | Dm7 |")
    )
    assert "not into N.C." in rules("leading-tone diminished", tune_of("| C6 | N.C. | C6 |"))
    assert rules("leading-tone diminished", tune_of("| C6 |")) == ["not on the final chord"]


def test_10_across_a_sections_edge_by_setting() -> None:
    tune = tune_of("| C6 | Dm7 |", more='form = ["A", "A"]')
    assert len(insertions("leading-tone diminished", tune, across_sections=True)) == 3
    assert len(insertions("leading-tone diminished", tune, across_sections=False)) == 2


def test_11_it_lasts_long_enough_and_the_chord_before_keeps_a_beat() -> None:
    quick = tune_of("| C6 | Dm7 |", tempo=240)
    assert insertions("leading-tone diminished", quick, least_seconds=0.5)
    assert not insertions("leading-tone diminished", quick, least_seconds=0.6)
    assert not insertions("leading-tone diminished", tune_of("| C6 Dm7 G7 C6 | F |", meter="4/4"))


def test_12_a_climb_wants_a_bar_and_no_held_major_seventh() -> None:
    assert not insertions("ascending walk", tune_of("| C6 F6 | G7 |"))
    assert not insertions("ascending walk", tune_of("| Cmaj7 | G7sus4 |"))
    held = tune_of("| C6 | G7sus4 |", melody="| B4:4 | r:4 |")
    assert not insertions("ascending walk", held)
    assert insertions("ascending walk", tune_of("| C6 | G7sus4 |"))


def test_13_no_rootless_ninth_before_a_minor_chord_but_under_the_ninth() -> None:
    assert not insertions("rootless ninth", tune_of("| A7 | Dm |"))
    assert insertions("rootless ninth", tune_of("| A7 | Dm |", melody="| B4:4 | r:4 |"))


@pytest.mark.parametrize(
    ("changes", "meter", "put"),
    [
        ("| C6 | Dm7 |", "4/4", (2, 2)),
        ("| C6 / Dm7 / |", "4/4", (1, 1)),
        ("| C6 | Dm7 |", "3/4", (2, 1)),
        ("| C6 | Dm7 |", "5/4", (3, 2)),
    ],
)
def test_where_it_stands(changes: str, meter: str, put: tuple[int, int]) -> None:
    """4/4 its last two beats; a two-beat slot the last; 3/4 beat three; 5/4 the last two."""
    ((found,),) = insertions("leading-tone diminished", tune_of(changes, meter=meter))
    assert found[1:] == put
