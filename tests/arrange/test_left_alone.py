"""Where nothing is added: each rule at a place of its own, by hand (common practice, no source)."""

from __future__ import annotations

from fractions import Fraction

import pytest

import harmonykit as hk
from harmonykit.arrange.block.melody import melody_on_top
from harmonykit.arrange.left_alone import (
    RULES,
    after_cadences,
    left_alone_in,
    left_as_written,
    said_left_alone,
    third_in_a_row,
)
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.wishes import Wishes
from harmonykit.tune.analysis.patterns import riff_bars, vamp_bars
from harmonykit.tune.tune import Tune

FREE = "| C | Am | Dm | G7 | C | Am | Dm | G7 | F | C | Am | F | C | G7 | Dm | C |"


def typed(changes: str, melody: str = "", words: str = "", tempo: int = 100) -> Tune:
    more = f'melody = "{melody}"\n' if melody else ""
    more += f'words = "{words}"\n' if words else ""
    return Tune.parse(
        f'format = 1\ntitle = "Slipway"\nkey = "C"\nmeter = "4/4"\ntempo = {tempo}\n'
        f'[[sections]]\nname = "A"\nchanges = "{changes}"\n{more}'
    )


def alone(tune: Tune, rule: str) -> list[int]:
    return list(hk.arrange.places_left_alone(tune, [rule]))


def test_every_rule_holds_nowhere_in_a_plain_tune_but_at_its_last_chord():
    tune = typed(FREE)
    held = {rule: alone(tune, rule) for rule in RULES if rule not in ("theme", "last chord")}
    assert not any(held.values())
    assert alone(tune, "last chord") == [15]


@pytest.mark.parametrize(
    ("changes", "rule", "places"),
    [
        ("| C {fermata} | G7 | C |", "fermata", [0]),
        (FREE, "theme", list(range(8))),
        ("| C | F/C | C | G7 |", "pedal", [0, 1, 2]),
        ("| C | G/B | Am | G7 |", "pedal", []),
        ("| Em7 A7 | Dm | C | C |", "own ii–V", [0, 1]),
        ("| Em7 | A7 | Dm | C |", "own ii–V", []),
        # In bars 7 and 8 the tonic arrives on beat 1 and is left on beat 3.
        ("| C | F | Dm | G7 | C | F | G7 | C Am | Dm | C |", "cadence", [7]),
        ("| C | F | Dm | G7 | C | F | G7 | C | Dm | C |", "cadence", []),
        # Two bars four times, one chord for eight bars, a blues that is neither.
        ("| Dm7 | G | Dm7 | G | Dm7 | G | Dm7 | G | C |", "vamp", list(range(8))),
        ("| Dm7 | G7 | C | C | Dm7 | G7 | C | C | F |", "vamp", []),
        ("| C | G7 | C | G7 | C | G7 | C | G7 | F |", "vamp", []),
        ("| Dm7 | - | - | - | - | - | - | - | C |", "vamp", [0, 1, 2, 3]),
        ("| C7 | F7 | C7 | C7 | F7 | F7 | C7 | C7 | G7 | F7 | C7 | G7 |", "vamp", []),
    ],
)
def test_what_the_chords_say(changes, rule, places):
    assert alone(typed(changes), rule) == places


@pytest.mark.parametrize(
    ("melody", "rule", "places"),
    [
        ("| C4:1/2 D4:1/2 E4:1/2 F4:1/2 G4:2 | A4:4 | r:4 |", "moving melody", [0]),
        ("| C4 E4 G4 C5 | A4:4 | r:4 |", "moving melody", []),
        ("| C4 E4 G4 C5 | A4:4 | r:4 |", "spelled chord", [0]),
        # A passing note is no matter, a bar of them is.
        ("| C4 E4 G4:3/2 F4:1/2 | A4:4 | r:4 |", "spelled chord", [0]),
        ("| C4 D4 F4 E4 | A4:4 | r:4 |", "spelled chord", []),
        ("| C4 E4:3 | A4:4 | r:4 |", "spelled chord", []),
        ("| G4:2 A4:2 | G4:2 A4:2 | G4:2 A4:2 |", "riff", [0, 1, 2]),
        ("| G4:2 A4:2 | G4:2 A4:2 | A4:2 G4:2 |", "riff", []),
    ],
)
def test_what_the_melody_says(melody, rule, places):
    assert alone(typed("| C | Am | F |", melody), rule) == places


def test_words_matter_where_there_is_one_on_every_beat():
    melody = "| C4 D4 E4 D4 | A4:4 | G4:4 |"
    tune = typed("| C | Am | F |", melody, "| row us to the | lee | - |".replace("-", "now"))
    assert alone(tune, "words") == [0]


def test_above_160_beats_a_minute_a_chord_of_two_beats_is_left_alone():
    changes = "| C Am | Dm | G7 | F |"
    assert alone(typed(changes, tempo=160), "fast") == []
    assert alone(typed(changes, tempo=161), "fast") == [0, 1]
    assert list(hk.arrange.places_left_alone(typed(changes), ["fast"], 200)) == [0, 1]


def test_a_style_says_which_rules_it_heeds():
    tune = typed(FREE)
    assert hk.arrange.places_left_alone(tune, []) == {}
    assert 0 not in hk.arrange.places_left_alone(tune)
    everything = hk.arrange.places_left_alone(tune, hk.arrange.LEFT_ALONE)
    assert everything[0] == "the theme is heard for the first time"
    assert everything == left_alone_in(tune, RULES)
    with pytest.raises(hk.HarmonyError, match="unknown rule 'loud'"):
        hk.arrange.places_left_alone(tune, ["loud"])


def test_silence_is_not_a_place():
    assert hk.arrange.places_left_alone(typed("| N.C. | C | N.C. |"), RULES).keys() == {1}


@pytest.mark.parametrize("name", ["heron_landing", "ropewalk_blues", "slack_water_waltz"])
def test_a_tune_moved_to_another_key_is_left_alone_at_the_same_places(name):
    tune = hk.read_tune(name)
    moved = tune.transpose("M2")
    assert hk.arrange.places_left_alone(tune) == hk.arrange.places_left_alone(moved)
    assert riff_bars(tune) == riff_bars(moved)
    assert vamp_bars(tune) == vamp_bars(moved)


def test_the_third_time_in_a_row_at_one_place_of_the_bar():
    late, early = ("suspension", Fraction(2)), ("suspension", Fraction(0))
    assert third_in_a_row([early, late, late], *late)
    assert not third_in_a_row([late], *late)
    assert not third_in_a_row([late, early], *late)
    assert not third_in_a_row([late, late], "slide", Fraction(2))


def test_a_cadence_rings_for_two_beats():
    tune = typed("| C | F | Dm | G7 | C | F | G7 | C |")
    assert after_cadences(tune) == ((12, 14), (28, 30))
    waltz = Tune.parse("3/4 | C | F | G7 | C |", key="C")
    assert after_cadences(waltz) == ((9, 11),)


def test_what_an_arrangement_leaves_alone_is_told_where_nothing_was_added():
    way = hk.reharmonise("heron_landing", "ukulele", k=1)[0]
    found = left_as_written(way)
    slots = slots_of(way.tune)
    for index in found:
        inside = [step for step in way.added if slots[index].onset <= step.onset < slots[index].end]
        assert not inside
    plain = hk.reharmonise("heron_landing", "ukulele", [], k=1)[0]
    assert left_as_written(plain) == hk.arrange.places_left_alone("heron_landing")


def test_nothing_is_said_to_be_left_alone_where_all_that_fits_was_asked_for():
    way = hk.reharmonise("ropewalk_blues", "ukulele", k=1, wishes=Wishes(density="full"))[0]
    assert way.added and not left_as_written(way)
    assert not left_as_written(melody_on_top("ropewalk_blues", "ukulele").arrangement)


def test_reasons_are_counted_in_words():
    assert said_left_alone([]) == ""
    assert said_left_alone(["it is a vamp"]) == "Left alone: 1 place, because it is a vamp (1)"


@pytest.mark.parametrize("style", ["usual", "walking", "rich"])
def test_intros_and_endings_stand_as_they_are_written(style):
    """Common practice, no source: what an arranger wrote around a tune is not arranged again."""
    song = typed("| C6 | Am7 | Dm7 | G7 | C6 | C7 | F6 | Fm6 | C6 | Am7 | Dm7 | G7 | C6 | C6 |")
    tune = hk.arrange.framed(song, "turnaround twice", "tag")
    (way,) = hk.reharmonise(tune, "ukulele", moves_of(style), 1, style=style)
    sections = {tune.playing[step.bar].section for step in way.added}
    assert sections == {"A"}
