"""The approach from a semitone below, rule by rule: a tune that obeys, and one that breaks it.

All rules are common practice, no source; expected values were written by hand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_tunes import insertions, offers, rules, tune_of

from harmonykit.arrange.moves import Part, Variant
from harmonykit.arrange.moves.placing import HELD_BASS, IN_A_ROW, REPEATS
from harmonykit.arrange.wishes import Wishes

MOVE = "leading-tone diminished"
FINAL = "not on the final chord"
HEAVIER = "the chord that follows must be on a stronger beat"
HALF = Fraction(1, 2)


def only(tune_text: str, **more: object) -> list[tuple[str, Fraction, Fraction]]:
    """Return what the single variant of a tune puts in."""
    (found,) = insertions(MOVE, tune_of(tune_text, **more))  # type: ignore[arg-type]
    return found


def test_the_variant_whole() -> None:
    """Nothing else moves: two beats of C6 stay, the late beats are given away, all one bar."""
    tune = tune_of("| C6 | Dm7 |")
    first, _ = offers(MOVE, tune)
    assert isinstance(first, Variant)
    kept, late = first.parts
    chord = tune.changes[0].chord
    assert kept == Part(chord, Fraction(0), Fraction(2), 0)
    assert (late.onset, late.beats, late.bar, late.move) == (2, 2, 0, "passing diminished")
    assert (first.keeps_first, first.needs_next, first.scale) == (True, True, None)


# Placement -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "meter", "onset", "beats"),
    [
        ("| C6 | Dm7 |", "4/4", 2, 2),  # 4/4 a whole bar: its last two beats
        ("| C6 | C6 | Dm7 |", "4/4", 6, 2),  # of two bars, those of the second
        ("| F6 C6 | Dm7 |", "4/4", 3, 1),  # a two-beat slot: the last
        ("| C6 | Dm7 |", "3/4", 2, 1),  # 3/4: beat three
        ("| F6 C6 / | Dm7 |", "3/4", 2, 1),
        ("| C6 | Dm7 |", "6/8", Fraction(3, 2), Fraction(3, 2)),  # the second dotted beat
        ("| C6 | Dm7 |", "5/4", 3, 2),  # 5/4: the last two
        ("| C6 | Dm7 |", "12/8", 3, 3),  # four dotted beats: the last two
        ("| C6 | Dm7 |", "2/4", 1, 1),
        ("| C6 | Dm7 |", "2/2", 2, 2),  # its beat is a half
    ],
)
def test_where_it_stands(changes: str, meter: str, onset: Fraction, beats: Fraction) -> None:
    last = insertions(MOVE, tune_of(changes, meter=meter))[-1]
    assert last == [("C#dim7", onset, beats)]


@pytest.mark.parametrize(
    ("changes", "meter"),
    [("| F6 / / C6 | Dm7 |", "4/4"), ("| F6 / C6 | Dm7 |", "3/4"), ("| F6 C6 | Dm7 |", "6/8")],
)
def test_a_slot_of_one_beat_keeps_its_chord(changes: str, meter: str) -> None:
    assert "a chord of one beat stays as written" in rules(MOVE, tune_of(changes, meter=meter))
    starts = [chord for found in insertions(MOVE, tune_of(changes, meter=meter)) for chord in found]
    assert "C#dim7" not in [symbol for symbol, *_ in starts]


def test_a_pickup_counts_from_the_end_of_the_bar() -> None:
    """Two beats before bar 1 are beats 3 and 4: the second of them leads to beat 1."""
    assert only("| {2 quarters} C6 | Dm7 |") == [("C#dim7", 1, 1)]


def test_a_short_first_bar_that_is_no_whole_beat_is_counted_from_its_end() -> None:
    """Five eighths before bar 1 of 4/4: the last beat starts after one and a half of a quarter."""
    assert only("| {5/2 quarters} C6 | Dm7 |") == [("C#dim7", Fraction(3, 2), 1)]


# Rule 1: heavier beat ------------------------------------------------------------------------


def test_within_a_bar_it_leads_to_the_third_beat() -> None:
    first = insertions(MOVE, tune_of("| C6 Dm7 | C6 |"))[0]
    assert first == [("C#dim7", 1, 1)]  # weight 1 before weight 2


@pytest.mark.parametrize(
    ("changes", "meter"),
    [
        ("| C6 / Dm7 | G7 |", "3/4"),  # beat 2 to beat 3: 1 to 1
        ("| C6 Dm7@2 | G7 |", "3/4"),
        ("| C6 Dm7@4 | G7 |", "4/4"),  # of three beats the last two: beat 2 to beat 4, 1 to 1
        ("| C6 Dm7@3.5 | G7 |", "4/4"),  # off the beat weighs nothing
    ],
)
def test_a_target_on_no_heavier_beat_is_not_led_to(changes: str, meter: str) -> None:
    answers = rules(MOVE, tune_of(changes, meter=meter))
    assert answers[0] in (HEAVIER, "a chord of one beat stays as written")
    placed = [
        symbol for found in insertions(MOVE, tune_of(changes, meter=meter)) for symbol in found
    ]
    assert "C#dim7" not in [symbol for symbol, *_ in placed]


def test_the_rule_is_named() -> None:
    assert rules(MOVE, tune_of("| C6 / Dm7 | G7 |", meter="3/4"))[0] == HEAVIER


# Rule 2: rising passing, or an approach; the target's kind -----------------------------------


def test_it_passes_where_the_bass_before_is_a_whole_step_below() -> None:
    (found,) = [f for f in offers(MOVE, tune_of("| C6 | Dm7 |")) if isinstance(f, Variant)]
    assert found.parts[-1].reason == (
        "C♯°7 passes up to Dm7: the roots rise by half steps, C – C♯ – D"
    )
    (found,) = [f for f in offers(MOVE, tune_of("| F6 | Dm7 |")) if isinstance(f, Variant)]
    assert found.parts[-1].reason == "C♯°7 resolves to Dm7: its root is a half step below D"


def test_the_passing_diminished_alone_fills_a_whole_step_up() -> None:
    """I – ♯i° – ii and IV – ♯iv° – I over 5, both common practice; not from IV to ii."""
    passing = "passing diminished"
    assert insertions(passing, tune_of("| C6 | Dm7 |")) == [[("C#dim7", 2, 2)]]
    assert insertions(passing, tune_of("| F6 | C/G |")) == [[("F#dim7", 2, 2)]]
    assert not insertions(passing, tune_of("| F6 | Dm7 |"))
    assert (
        rules(passing, tune_of("| F6 | Dm7 |"))[0]
        == "the bass of the chord before must be a half step below the added chord"
    )


def test_of_a_slash_chord_the_bass_counts_on_both_sides() -> None:
    (found,) = [f for f in offers(MOVE, tune_of("| G7/D | C/E |")) if isinstance(f, Variant)]
    assert str(found.parts[-1].chord) == "D#dim7"
    assert found.parts[-1].reason.startswith(
        "D♯°7 passes up to C/E: the bass rises by half steps, D – D♯ – E"
    )


@pytest.mark.parametrize("target", ["D", "Dmaj7", "D6", "Dm", "Dm7", "Dm6", "D7", "D9", "D7b5"])
def test_targets_are_major_minor_or_dominant(target: str) -> None:
    assert only(f"| F6 | {target} |") == [("C#dim7", 2, 2)]


@pytest.mark.parametrize("target", ["Dm7b5", "Dm(b5)", "Daug", "Dsus4", "D5"])
def test_other_targets_are_not_led_to(target: str) -> None:
    answer = rules(MOVE, tune_of(f"| F6 | {target} |"))
    assert answer == ["the next chord must be major, minor or dominant", FINAL]


def test_it_is_spelled_with_the_letter_below_its_target() -> None:
    assert only("| F6 | Ab6 |") == [("Gdim7", 2, 2)]
    assert only("| C6 | Ebm7 |") == [("Ddim7", 2, 2)]
    assert only("| C6 | C#m7 |") == [("B#dim7", 2, 2)]


# Rule 5: repeats -----------------------------------------------------------------------------


@pytest.mark.parametrize("changes", ["| C6 | C6 | C6 |", "| C | C/E |", "| {2 quarters} C6 | C6 |"])
def test_nothing_goes_between_a_chord_and_itself(changes: str) -> None:
    tune = tune_of(changes + " F6 |")
    assert not any(
        symbol == "D#dim7" or symbol == "Bdim7"
        for found in insertions(MOVE, tune)
        for symbol, *_ in found
    )
    assert rules(MOVE, tune)[0] == REPEATS


# Rule 6: parents, and no two of the same notes -----------------------------------------------


def test_a_parent_already_leads() -> None:
    """E7 - G sharp dim - Am: E7 gains its flat ninth, so that nothing is inserted."""
    assert rules(MOVE, tune_of("| E7 | Am |")) == [
        "E7 is already one of the four dominants of G♯°7",
        FINAL,
    ]


@pytest.mark.parametrize("parent", ["G7", "Bb7", "Db7", "E7b9", "E9"])
def test_every_parent_of_g_sharp_diminished_counts(parent: str) -> None:
    assert not insertions(MOVE, tune_of(f"| {parent} | Am |"))


@pytest.mark.parametrize("other", ["E", "Em7", "F7", "Em6", "C6", "B7"])
def test_what_is_no_parent_may_stand_before(other: str) -> None:
    assert only(f"| {other} | Am |") == [("G#dim7", 2, 2)]


@pytest.mark.parametrize("changes", ["| G#dim7 | Am |", "| C6 | C#dim7 | Dm7 |"])
def test_a_diminished_seventh_of_the_tune_is_left_alone(changes: str) -> None:
    """Beside one as written none is inserted: two in a row are for a climb."""
    assert not insertions(MOVE, tune_of(changes))
    assert IN_A_ROW in rules(MOVE, tune_of(changes))


# Rule 7: the melody --------------------------------------------------------------------------


# Below D stands C sharp, E, G, B flat: a semitone above them lie D, F, A flat and B.
@pytest.mark.parametrize("note", ["D5", "F5", "Ab4", "B4"])
def test_a_melody_note_a_semitone_above_a_tone_clashes(note: str) -> None:
    tune = tune_of("| C6 | Dm7 |", melody=f"| r:2 {note}:2 | |")
    printed = note[:-1].replace("b", "♭")
    assert (
        rules(MOVE, tune)[0] == f"the melody's {printed} is a semitone above a chord tone of C♯°7"
    )


@pytest.mark.parametrize("note", ["C#5", "E5", "G4", "Bb4", "D#5", "F#5", "A4", "C5"])
def test_tones_of_it_and_whole_steps_above_are_fine(note: str) -> None:
    assert only("| C6 | Dm7 |", melody=f"| r:2 {note}:2 | |") == [("C#dim7", 2, 2)]


def test_an_anticipated_target_root_clashes() -> None:
    assert not insertions(MOVE, tune_of("| C6 | Dm7 |", melody="| E5:3 r:1/2 D5:1/2~ | D5:2 |"))


@pytest.mark.parametrize(
    ("melody", "clashes"),
    [
        ("r:2 D5:1/4", True),  # on beat 3, however short
        ("r:3 D5:1/4", True),  # on beat 4
        ("r:5/2 D5:1/2", True),  # off the beat, but half a beat long
        ("r:9/4 D5:1/4", False),  # off the beat and short
        ("r:11/4 D5:1/4", False),
        ("r:7/4 D5:1/2", True),  # begins before it, half a beat long
        ("r:7/4 D5:1/4", False),  # ends where it starts
        ("D5:2", False),  # while the chord before still sounds
    ],
)
def test_a_note_counts_on_a_beat_or_from_half_a_beat(melody: str, clashes: bool) -> None:
    found = insertions(MOVE, tune_of("| C6 | Dm7 |", melody=f"| {melody} | |"))
    assert bool(found) is not clashes


@pytest.mark.parametrize(
    ("melody", "clashes"),
    [
        ("r:3/2 D5:1/4", True),  # on the second dotted beat
        ("r:2 D5:1/2", False),  # the fifth eighth: off the beat, a third of it long
        ("r:2 D5:3/4", True),  # half of a dotted beat
        ("r:5/2 D5:1/2", False),  # the sixth eighth
    ],
)
def test_in_compound_time_the_beat_is_dotted(melody: str, clashes: bool) -> None:
    found = insertions(MOVE, tune_of("| C6 | Dm7 |", meter="6/8", melody=f"| {melody} | |"))
    assert bool(found) is not clashes


@pytest.mark.parametrize(
    ("melody", "clashes"), [("r:5/2 D5:1/2", False), ("r:3 D5:1/2", False), ("r:3 D5:1", True)]
)
def test_in_half_time_the_beat_is_a_half(melody: str, clashes: bool) -> None:
    found = insertions(MOVE, tune_of("| C6 | Dm7 |", meter="2/2", melody=f"| {melody} | |"))
    assert bool(found) is not clashes


@pytest.mark.parametrize(("melody", "clashes"), [("r:2 D5:1/4", True), ("r:9/4 D5:1/4", False)])
def test_beats_are_the_bars_own_after_a_bar_of_another_length(melody: str, clashes: bool) -> None:
    """Seven eighths come before: a beat of bar 2 is not a whole number of quarters."""
    changes = "| {7/8} F6 | {4/4} C6 | Dm7 |"
    tune = tune_of(changes, meter="7/8", melody=f"| | {melody} | |")
    assert any(found[0][0] == "C#dim7" for found in insertions(MOVE, tune)) is not clashes


# Rules 9 and 10: held basses, silence, the end, edges ----------------------------------------


@pytest.mark.parametrize(
    "changes", ["| C6 | F/C |", "| C/G | G7 |", "| Dm7/G | G7 |", "| C6 | C7 |"]
)
def test_over_a_held_bass_there_is_none(changes: str) -> None:
    assert rules(MOVE, tune_of(changes)) == [
        HELD_BASS,
        FINAL,
    ]


def test_into_silence_and_on_the_final_chord_there_is_none() -> None:
    tune = tune_of("| C6 | N.C. | Dm7 | G7 | G7 | G7 |")
    assert insertions(MOVE, tune) == [[("F#dim7", 10, 2)]]
    assert rules(MOVE, tune) == ["not into N.C.", FINAL, FINAL]


def test_across_an_edge_it_goes_by_setting() -> None:
    tune = tune_of("| C6 | Dm7 |", more='form = ["A", "A"]')
    assert [found[0][0] for found in insertions(MOVE, tune)] == ["C#dim7", "Bdim7", "C#dim7"]
    inside = insertions(MOVE, tune, across_sections=False)
    assert [found[0][0] for found in inside] == ["C#dim7", "C#dim7"]
    answers = rules(MOVE, tune, across_sections=False)
    assert answers == ["not across the end of a section, as you chose", FINAL]


def test_at_a_repeat_it_suits_each_successor() -> None:
    """Repeats are written out: before the first bar another chord than before the next part."""
    found = insertions(MOVE, tune_of("|: C6 | F6 :| Dm7 | G7 |"))
    assert [chord[0][0] for chord in found] == ["Edim7", "Bdim7", "Edim7", "C#dim7", "F#dim7"]


# Rule 11: long enough ------------------------------------------------------------------------


@pytest.mark.parametrize(("tempo", "fits"), [(120, True), (121, False)])
def test_it_lasts_as_long_as_the_level_asks(tempo: float, fits: bool) -> None:
    """Two beats at 120 quarter notes a minute are one second."""
    tune = tune_of("| C6 | Dm7 |", tempo=tempo)
    assert bool(insertions(MOVE, tune, least_seconds=1.0)) is fits
    if not fits:
        assert (
            rules(MOVE, tune, least_seconds=1.0)[0]
            == "a chord must last at least 1 s at this tempo"
        )


def test_the_chord_before_lasts_as_long_too() -> None:
    """At 60 a beat is a second.  C6 from beat 2 keeps one beat and gives two."""
    three = tune_of("| F6 C6@2 | Dm7 |", tempo=60)
    assert insertions(MOVE, three, least_seconds=1.0) == [[("C#dim7", 2, 2)]]
    assert not insertions(MOVE, three, least_seconds=1.5)
    long = tune_of("| C6 | C6 | Dm7 |", tempo=60)
    assert insertions(MOVE, long, least_seconds=2.0) == [[("C#dim7", 6, 2)]]


def test_it_falls_between_two_minor_chords() -> None:
    assert insertions("descending passing diminished", tune_of("| Em7 | Dm7 |")) == [
        [("Ebdim7", 2, 2)]
    ]


def test_it_does_not_fall_to_a_major_chord_nor_from_elsewhere() -> None:
    assert (
        rules("descending passing diminished", tune_of("| Em7 | D6 |"))[0]
        == "the next chord must be minor"
    )
    assert (
        rules("descending passing diminished", tune_of("| G6 | Dm7 |"))[0]
        == "the bass of the chord before, or its third if it is major, must be a whole step "
        "above the bass of the next chord"
    )


def test_the_bass_counts_not_the_root() -> None:
    """C/E falls to Dm7: E, E flat, D."""
    assert insertions("descending passing diminished", tune_of("| C/E | Dm7 |")) == [
        [("Ebdim7", 2, 2)]
    ]


def test_the_third_of_a_major_chord_falls_too_not_that_of_a_dominant() -> None:
    """C6 Eb dim Dm7: E, E flat, D (common practice, no source); C7 is not at rest."""
    assert insertions("descending passing diminished", tune_of("| C6 | Dm7 |")) == [
        [("Ebdim7", 2, 2)]
    ]
    assert not insertions("descending passing diminished", tune_of("| C7 | Dm7 |"))


def test_not_after_a_diminished_seventh() -> None:
    expected = "two diminished sevenths do not follow each other, except in a walk"
    assert rules("descending passing diminished", tune_of("| Edim7 | Dm7 |"))[0] == expected


def test_it_is_never_called_a_dominant() -> None:
    from harmonykit.arrange.search import reharmonise
    from harmonykit.fretboard.strings.instrument import Instrument

    (best,) = reharmonise(
        tune_of("| Em7 | Dm7 | G7 |"),
        Instrument.named("ukulele"),
        ["descending passing diminished"],
        1,
        wishes=Wishes(prefer="descending passing diminished"),
    )
    assert "dominant" not in best.added[0].reason and "♭9" not in best.added[0].reason
