"""The climb on the sixth-diminished chord scale, rule by rule: what obeys, and what breaks it.

All rules are common practice, no source; expected values were written by hand.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from small_tunes import METERS, insertions, offers, rules, tune_of, tunes

from harmonykit.arrange.moves import Refused, Variant
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.shapes.nearest import scale_of_chords
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.tune import Tune, beat_length

MOVE = "ascending walk"
UKULELE = Instrument.named("ukulele")


def rhythms(changes: str, **more: Any) -> list[list[tuple[str, Fraction]]]:
    """Return each variant as chords with their lengths."""
    found = [f for f in offers(MOVE, tune_of(changes, **more)) if isinstance(f, Variant)]
    return [[(str(part.chord), part.beats) for part in variant.parts] for variant in found]


def test_in_a_bar_of_four_the_diminished_has_beat_two() -> None:
    assert rhythms("| C6 | G7sus4 |") == [[("C6", 1), ("Bdim7", 1), ("C6", 2)]]


def test_in_a_bar_of_five_it_has_beat_three() -> None:
    assert rhythms("| C6 | G7sus4 |", meter="5/4") == [[("C6", 2), ("Bdim7", 1), ("C6", 2)]]


def test_over_two_bars_of_three_it_has_beat_three_and_leads_on() -> None:
    assert rhythms("| C6 | C6 | G7sus4 |", meter="3/4") == [[("C6", 2), ("Bdim7", 1), ("C6", 3)]]


def test_over_two_bars_of_six_eight_it_has_the_second_dotted_beat() -> None:
    dotted = Fraction(3, 2)
    expected = [[("C6", dotted), ("Bdim7", dotted), ("C6", 3)]]
    assert rhythms("| C6 | C6 | G7sus4 |", meter="6/8") == expected


def test_over_two_bars_of_four_there_are_five() -> None:
    found = rhythms("| C6 | C6 | G7sus4 |")
    lengths = [[int(beats) for _, beats in variant] for variant in found]
    for wanted in ([4, 1, 1, 2], [1, 1, 2, 4], [2, 2, 4], [3, 1, 4], [1, 1, 1, 1, 4]):
        assert wanted in lengths
    assert all(sum(each) == 8 for each in lengths)
    # Without pairs of bars each bar of four starts at rest: none walks on every beat of both.
    assert [1, 1, 1, 1, 1, 1, 2] not in lengths


def test_in_the_second_bar_of_a_pair_a_walk_of_every_beat_goes_on_and_rests() -> None:
    tune = tune_of("| C6 | C6 | G7sus4 |")
    found = [f for f in offers(MOVE, tune, seconds=frozenset({1})) if isinstance(f, Variant)]
    lengths = [[int(part.beats) for part in variant.parts] for variant in found]
    assert [1, 1, 1, 1, 1, 1, 2] in lengths
    # Six beats at most without a chord that is held for two.
    for each in lengths:
        runs = "".join("." if beats < 2 else "|" for beats in each).split("|")
        assert max(map(len, runs)) <= 6


def test_a_phrase_ends_at_rest() -> None:
    tune = tune_of("| C6 | Am7 | G7sus4 |")
    known = {"moves": frozenset({MOVE, "leading-tone diminished"})}
    free, ends = (
        [f for f in offers(MOVE, tune, rests=rests, **known) if isinstance(f, Variant)]
        for rests in (frozenset[int](), frozenset({0}))
    )
    assert any(variant.needs_next and variant.parts[0].bar == 0 for variant in free)
    for variant in ends:
        assert variant.parts[0].bar != 0 or (
            not variant.needs_next and variant.parts[-1].beats >= 2
        )


def test_it_goes_on_into_a_chord_of_the_same_scale() -> None:
    """C6 and Am7 are the same four notes: the walk crosses the bar line between them."""
    tune = tune_of("| C6 | Am7 | G7sus4 |")
    found = [f for f in offers(MOVE, tune) if isinstance(f, Variant) and f.needs_next]
    assert found
    for variant in found:
        last = variant.parts[-1]
        assert str(last.chord) == "Bdim7" and last.into == SixthDiminished("C", "major")


def test_its_last_beats_may_lead_to_the_next_chord() -> None:
    tune = tune_of("| C6 | Dm7 | G7sus4 |")
    known = {"moves": frozenset({MOVE, "leading-tone diminished"})}
    found = [f for f in offers(MOVE, tune, **known) if isinstance(f, Variant) and f.needs_next]
    assert {str(variant.parts[-1].chord) for variant in found} == {"C#dim7"}
    assert not [f for f in offers(MOVE, tune) if isinstance(f, Variant) and f.needs_next]


@pytest.mark.parametrize(
    ("symbol", "home", "diminished", "scale"),
    [
        # Theory of the four scales: triad, 6 -> major on the root; m7 -> major on the flat third;
        # m, m6 -> minor on the root; m7b5 -> minor on the flat third; 7 -> dominant on the root;
        # 7b5 -> dominant flat five.  The diminished seventh stands on the scale's leading note.
        ("C", "C6", "Bdim7", "C major sixth-diminished"),
        ("C6", "C6", "Bdim7", "C major sixth-diminished"),
        ("Dm7", "Dm7", "Edim7", "F major sixth-diminished"),
        ("Dm", "Dm6", "C#dim7", "D minor sixth-diminished"),
        ("Dm6", "Dm6", "C#dim7", "D minor sixth-diminished"),
        ("Bm7b5", "Bm7b5", "C#dim7", "D minor sixth-diminished"),
        ("C7", "C7", "Bdim7", "C dominant seventh-diminished"),
        ("C7b5", "C7b5", "Bdim7", "C dominant seventh flat five-diminished"),
    ],
)
def test_the_scale_goes_by_the_chord(symbol: str, home: str, diminished: str, scale: str) -> None:
    found = offers(MOVE, tune_of(f"| {symbol} | F |"))
    variants = [f for f in found if isinstance(f, Variant) and not f.needs_next]
    (variant,) = variants
    assert [str(part.chord) for part in variant.parts] == [home, diminished, home]
    assert {str(part.scale) for part in variant.parts} == {scale}
    # What the tune does not have there is told as the move's; the chord as written is not.
    assert variant.parts[0].move == ("" if home == symbol else MOVE)


# What keeps it out ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| C6 F6 | G7sus4 |", "a walk does not fit the beats of this chord"),
        ("| {2 quarters} C6 | G7sus4 |", "a walk does not fit the beats of this chord"),
        ("| C/E | G7sus4 |", "the chart has another bass under the chord"),
        ("| C7b9 | G7sus4 |", "the scale lacks the tensions of C7♭9"),
        ("| C13#11 | G7sus4 |", "the scale lacks the tensions of C13♯11"),
        ("| G7sus4 | C6 |", "G7sus4 has no sixth-diminished scale"),
        ("| Csus4 | G7sus4 |", "Csus4 has no sixth-diminished scale"),
        ("| Caug | G7sus4 |", "C+ has no sixth-diminished scale"),
        ("| Cdim7 | G7sus4 |", "C°7 has no sixth-diminished scale"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rules(MOVE, tune_of(changes))[0] == rule


@pytest.mark.parametrize("ending", ["C6 |", "C6 | C6 | C6 |", "C6 | C6 | C6 | N.C. |"])
def test_none_on_the_final_chord_however_long_it_lasts(ending: str) -> None:
    assert not insertions(MOVE, tune_of("| G7sus4 | " + ending))
    assert "not on the final chord" in rules(MOVE, tune_of("| G7sus4 | " + ending))


def test_a_chord_that_comes_back_is_not_final_the_first_time() -> None:
    assert insertions(MOVE, tune_of("| C6 | F/G | C6 |")) == [[("Bdim7", 1, 1), ("C6", 2, 2)]]


@pytest.mark.parametrize(
    ("melody", "free"),
    [("B4:4", False), ("r:1 B4:1", False), ("r:1 B4:1/2", True), ("G4:4", True), ("C5:1", True)],
)
def test_none_under_a_major_seventh_that_the_melody_holds(melody: str, free: bool) -> None:
    tune = tune_of("| C6 | F/G |", melody=f"| {melody} | |")
    assert bool(insertions(MOVE, tune)) is free
    if not free:
        assert rules(MOVE, tune)[0] == "not under a held major seventh"


def test_the_held_seventh_is_the_chords_own() -> None:
    """Over Dm7 the note E is the ninth, though a major seventh over the F of its scale."""
    assert insertions(MOVE, tune_of("| Dm7 | G7 |", melody="| E5:4 | |"))
    assert not insertions(MOVE, tune_of("| Dm7 | G7 |", melody="| C#5:4 | |"))


@pytest.mark.parametrize(
    ("note", "free"), [("C5", False), ("A4", False), ("D5", True), ("G4", True)]
)
def test_the_melody_over_the_diminished_is_heard(note: str, free: bool) -> None:
    """Over B D F A flat on beat 2: C, E flat, G flat and A clash, as rule 7 says."""
    tune = tune_of("| C6 | F/G |", melody=f"| r:1 {note}:1 | |")
    assert bool(insertions(MOVE, tune)) is free


def test_the_melody_may_leave_one_rhythm() -> None:
    """C on beat 2 of the first bar keeps the diminished off it: beat 3 is free, or bar 2."""
    tune = tune_of("| C6 | C6 | F/G |", melody="| r:1 C5:1 | |  |")
    found = insertions(MOVE, tune)
    assert found
    assert all(onset != 1 for variant in found for name, onset, _ in variant if name == "Bdim7")


@pytest.mark.parametrize(("tempo", "fits"), [(60, True), (61, False)])
def test_each_chord_lasts_as_long_as_the_level_asks(tempo: float, fits: bool) -> None:
    tune = tune_of("| C6 | F/G |", tempo=tempo)
    assert bool(insertions(MOVE, tune, least_seconds=1.0)) is fits
    if not fits:
        assert (
            rules(MOVE, tune, least_seconds=1.0)[0]
            == "a chord must last at least 1 s at this tempo"
        )


def test_slower_rhythms_remain_at_a_quicker_tempo() -> None:
    tune = tune_of("| C6 | C6 | F/G |", tempo=120)
    assert insertions(MOVE, tune, least_seconds=1.0) == [[("Bdim7", 2, 2), ("C6", 4, 4)]]


@pytest.mark.parametrize(
    ("meter", "rule"),
    [
        ("3/4", "a walk does not fit the beats of this chord"),
        ("2/4", "a walk does not fit the beats of this chord"),
        ("7/8", "a chord must last at least 0.5 s at this tempo"),
    ],
)
def test_a_metre_without_a_rhythm_says_so(meter: str, rule: str) -> None:
    """In three the last beats weigh the same: the sixth chord would be on no heavier one."""
    assert rules(MOVE, tune_of("| C6 | F/G |", meter=meter))[0] == rule


@given(tunes(phrases=("C", "C6", "Dm7", "G7", "Fm"), melodies=False, meters=METERS))
def test_every_climb_obeys_its_law(tune: Tune) -> None:
    """Sixth and diminished by turns, home last, each diminished lighter than its neighbours."""
    slots = {slot.onset: slot for slot in slots_of(tune)}
    for found in offers(MOVE, tune, least_seconds=0.0):
        if isinstance(found, Refused):
            continue
        kinds = [
            part.chord is not None and part.chord.is_diminished_seventh for part in found.parts
        ]
        assert any(kinds) and not kinds[0]
        assert kinds[-1] == found.needs_next
        assert all(kind == part.away for kind, part in zip(kinds, found.parts, strict=True))
        assert not any(a and b for a, b in pairwise(kinds))
        slot = slots[found.parts[0].onset]
        assert sum(part.beats for part in found.parts) == slot.beats
        for index, part in enumerate(found.parts):
            if kinds[index]:
                after = part.onset + part.beats
                sides = (found.parts[index - 1].onset, after)
                assert all(weight(tune, part.onset) < weight(tune, side) for side in sides)


WEIGHTS = {2: (2, 1), 3: (3, 1, 1), 4: (4, 1, 2, 1), 5: (4, 1, 1, 2, 1)}


def weight(tune: Tune, onset: Fraction) -> int:
    """Return the weight of a moment, from the table of the rules and the bar as played."""
    played = max((p for p in tune.playing if p.onset <= onset), key=lambda p: p.onset)
    place = (onset - played.onset) / beat_length(played.bar.meter)
    beats = Fraction(4 * played.bar.meter[0], played.bar.meter[1]) / beat_length(played.bar.meter)
    weights = WEIGHTS.get(int(beats), (2, *[1] * (int(beats) - 1)))
    return weights[int(place)] if place.denominator == 1 else 0


@pytest.mark.parametrize(
    "changes", ["| C6 | {3/4} C6 | {4/4} F/G |", "| {5/4} C6 | {2/4} C6 | {4/4} F/G |"]
)
def test_where_the_metre_changes_the_law_holds(changes: str) -> None:
    """From five to two the first beat of the second bar weighs no more than beat four."""
    tune = tune_of(changes)
    found = [f for f in offers(MOVE, tune, least_seconds=0.0) if isinstance(f, Variant)]
    assert found
    for variant in found:
        for index, part in enumerate(variant.parts):
            if part.away:
                sides = (variant.parts[index - 1].onset, part.onset + part.beats)
                assert all(weight(tune, part.onset) < weight(tune, side) for side in sides)


# The descent, and scales with a bass player ----------------------------------------------------


def test_a_descent_goes_down_by_the_same_rhythms() -> None:
    tune = tune_of("| C6 | C6 | G7sus4 |")
    up, down = (
        [f for f in offers(move, tune) if isinstance(f, Variant)]
        for move in (MOVE, "descending walk")
    )
    assert {part.ways for variant in up for part in variant.parts} == {(1,)}
    assert {part.ways for variant in down for part in variant.parts} == {(-1,)}
    assert [[part.chord for part in v.parts] for v in down] == [
        [part.chord for part in v.parts] for v in up
    ]
    assert {part.move for variant in down for part in variant.parts} == {"", "descending walk"}


def test_on_the_neck_a_descent_is_the_published_chord_scale_backwards() -> None:
    """Theory of the strings: 12-12-12-12, 10-11-10-11, 9-9-8-10 and on down to 0-0-0-0."""
    climb = scale_of_chords(SixthDiminished("C"), Voicing.parse("9-9-8-10", UKULELE), -6)
    listed = "9-9-8-10 7-8-7-8 5-7-5-7 4-5-4-5 2-4-3-3 1-2-1-2 0-0-0-0"
    assert [shape.digits for shape in climb] == listed.split()


def test_where_both_are_asked_for_a_walk_may_turn() -> None:
    tune, both = tune_of("| C6 | G7sus4 |"), frozenset({MOVE, "descending walk"})
    up = [f for f in offers(MOVE, tune, moves=both) if isinstance(f, Variant)]
    assert {part.ways for variant in up for part in variant.parts} == {(1, -1)}
    assert offers("descending walk", tune, moves=both) == []


def homes(changes: str, key: str = "C", melody: str = "") -> set[tuple[str, str]]:
    """Return scale and first chord of each variant where somebody else sounds the root."""
    found = offers(MOVE, tune_of(changes, key=key, melody=melody), bass_player=True)
    variants = [f for f in found if isinstance(f, Variant)]
    return {(str(f.parts[0].scale), str(f.parts[0].chord)) for f in variants}


def test_with_a_bass_player_the_other_scales_serve() -> None:
    """A major seventh on its fifth; a dominant's minor on its fifth and its flat 9 (no source)."""
    assert homes("| Cmaj7 | Cmaj7 | F6 |") == {
        ("C major sixth-diminished", "Cmaj7"),
        ("G major sixth-diminished", "G6"),
    }
    # A suspended ninth is the minor seventh on its fifth, over its root.
    assert homes("| G9sus4 | C6 |") == {("F major sixth-diminished", "F6")}
    assert homes("| G7 | C6 |") == {
        ("G dominant seventh-diminished", "G7"),
        ("D minor sixth-diminished", "Dm6"),
        ("A♭ minor sixth-diminished", "Abm6"),
    }


def test_before_a_minor_chord_there_is_no_natural_ninth_unless_it_is_sung() -> None:
    assert ("E minor sixth-diminished", "Em6") not in homes("| A7 | Dm |")
    sung = homes("| A7 | Dm |", melody="| B4:4 | r:4 |")
    assert ("E minor sixth-diminished", "Em6") in sung


def test_the_altered_sound_wants_a_resolution_down_a_fifth() -> None:
    # A minor is a minor chord besides: no natural ninth before it either.
    assert homes("| G7 | Am7 |") == {("G dominant seventh-diminished", "G7")}
    assert homes("| G7 | F6 |") == {
        ("G dominant seventh-diminished", "G7"),
        ("D minor sixth-diminished", "Dm6"),
    }


# The chord inside, and the and -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("symbol", "inside", "diminished"),
    [
        # By hand: C9 without its D is C7, D minor 11 without E and G is D minor 7.
        ("C9", "C7", "Bdim7"),
        ("C13", "C7", "Bdim7"),
        ("Dm11", "Dm7", "Edim7"),
        ("F6/9", "F6", "Edim7"),
        ("Dm6/9", "Dm6", "C#dim7"),
    ],
)
def test_tensions_are_held_and_the_chord_inside_walks(
    symbol: str, inside: str, diminished: str
) -> None:
    assert rhythms(f"| {symbol} | {symbol} | G7sus4 |")
    for variant in rhythms(f"| {symbol} | {symbol} | G7sus4 |"):
        names = [name for name, _ in variant]
        assert variant[0][0] == symbol and variant[0][1] >= 2
        assert set(names) <= {symbol, inside, diminished} and names[-1] == inside


def test_a_major_seventh_may_be_there_again_on_arrival() -> None:
    lasts = {variant[-1][0] for variant in rhythms("| Cmaj7 | Cmaj7 | G7sus4 |")}
    assert lasts == {"C6", "Cmaj7"}
    sung = tune_of("| Cmaj7 | Cmaj7 | G7sus4 |", melody="| B4:4 | | |")
    assert rules(MOVE, sung)[0] == "not under a held major seventh"


def test_the_seventh_stays_while_the_other_voices_go_by_step() -> None:
    """On the neck: C6 for Cmaj7, every other voice by a step of C D E F G A flat A B."""
    tune = tune_of("| Cmaj7 | Cmaj7 | G7sus4 | G7sus4 |")
    (way,) = reharmonise(tune, UKULELE, [MOVE, "descending walk"], 1, wishes=Wishes(prefer=MOVE))
    scale = SixthDiminished("C")
    seen = 0
    for before, after in pairwise(way.steps):
        if {str(before.chord), str(after.chord)} == {"Cmaj7", "Bdim7"}:
            assert before.voicing and after.voicing
            pairs = list(zip(before.voicing.sounding, after.voicing.sounding, strict=True))
            assert all((a == b) == (a % 12 == 11) for a, b in pairs)
            assert {abs(scale.step(a, 1) - b) * abs(scale.step(a, -1) - b) for a, b in pairs} <= {
                0,
                *(abs(scale.step(a, 1) - a) * abs(scale.step(a, -1) - a) for a, _ in pairs),
            }
            seen += 1
    assert seen
    assert any("C6, which stands in for Cmaj7 in the walk," in step.reason for step in way.added)


@pytest.mark.parametrize(("tempo", "fits"), [(66, True), (100, True), (101, False), (120, False)])
def test_on_the_and_before_a_heavy_beat_where_an_eighth_is_slow_enough(
    tempo: float, fits: bool
) -> None:
    half, whole = Fraction(1, 2), Fraction(3, 2)
    found = rhythms("| C6 | G7sus4 |", tempo=tempo)
    assert ([("C6", whole), ("Bdim7", half), ("C6", 2)] in found) is fits
    tune = tune_of("| C6 | Am7 | G7sus4 |", tempo=tempo)
    late = [v for v in offers(MOVE, tune) if isinstance(v, Variant) and v.needs_next]
    assert (4 - half in {v.parts[-1].onset for v in late}) is fits
