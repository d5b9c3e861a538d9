"""The dominants that stand for one: the tritone partner and the others of the diminished seventh.

That the partner shares third and seventh is common practice, no source.
"""

from __future__ import annotations

import pytest
from small_tunes import insertions, offers, rules, tune_of
from tables import rows

from harmonykit.arrange.moves import Variant
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Interval

PARTNER, PARENT = "tritone substitution", "four dominants"


def test_the_whole_slot_and_its_second_half() -> None:
    assert insertions(PARTNER, tune_of("| G7 | C6 |")) == [[("Db7", 0, 4)], [("Db7", 2, 2)]]


@pytest.mark.parametrize(
    ("dominant", "target", "partner"),
    # Each named from its target, a semitone above: published pairs C7 and Gb7, as in synonyms.tsv.
    [("C7", "F", "Gb7"), ("E7", "Am", "Bb7"), ("F#7", "Bm", "C7"), ("D7", "G6", "Ab7")],
)
def test_the_partner_is_named_from_its_target(dominant: str, target: str, partner: str) -> None:
    assert insertions(PARTNER, tune_of(f"| {dominant} | {target} |"))[0][0][0] == partner


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| G7sus4 | C6 |", "G7sus4 keeps its suspension"),
        ("| G7 | Am7 |", "the dominant must resolve down a fifth"),
        ("| G7/B | C6 |", "the chart has another bass under the chord"),
        ("| C7 | F7 |", "C7 is the I7 or IV7 of a blues, which does not resolve"),
        ("| Bb7 | Eb6 |", "B♭7 is ♭VII7, which does not resolve down a fifth"),
        ("| G7 | N.C. | C6 |", "not into N.C."),
        ("| {fermata@3} G7 | C6 |", "not after a fermata"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(changes: str, rule: str) -> None:
    assert rules(PARTNER, tune_of(changes))[0] == rule


def test_the_melody_has_nothing_a_semitone_above_a_tone_of_the_partner() -> None:
    """Over D flat, F, A flat, C flat: D, G flat, A and C rub.

    Over a dominant that falls by a half step the scale is lydian, without a flat ninth (common
    practice, no source).
    """
    for name, allowed in [
        ("D5", False),
        ("Gb5", False),
        ("A5", False),
        ("C5", False),
        ("F5", True),
    ]:
        tune = tune_of("| G7 | C6 |", melody=f"| {name}:4 | r:4 |")
        whole = [f for f in insertions(PARTNER, tune) if f[0][1:] == (0, 4)]
        assert bool(whole) == allowed, name


def test_flat_six_falls_to_the_fifth_degree_before_its_partner() -> None:
    """B flat 7 A7 Dm in D minor keeps its half step, unless B flat is sung over A7, too.

    E flat 7 has that note as its fifth (arithmetic; the rule is common practice, no source).
    """
    changes = "| Bb7 | A7 | Dm6 |"
    assert insertions(PARTNER, tune_of(changes, key="D minor")) == [[("Eb7", 6, 2)]]
    for name, found in [("Bb4", [[("Eb7", 4, 4)], [("Eb7", 6, 2)]]), ("G4", [[("Eb7", 6, 2)]])]:
        tune = tune_of(changes, key="D minor", melody=f"| r:4 | {name}:4 | r:4 |")
        assert insertions(PARTNER, tune) == found
    # A bar of one beat has no last beats.
    short = tune_of(changes, key="D minor", meter="1/4")
    assert insertions(PARTNER, short) == []
    assert "B♭7 falls to A7 by a half step" in rules(PARTNER, short)


def test_the_reason_names_the_notes_that_both_have() -> None:
    first = next(f for f in offers(PARTNER, tune_of("| G7 | C6 |")) if isinstance(f, Variant))
    assert first.parts[0].reason == (
        "D♭7 replaces G7, a tritone away: B and F are the third and seventh of both, and the root "
        "D♭ is a half step above C"
    )
    assert first.needs_next and not first.keeps_first


def reasons(changes: str) -> list[str]:
    found = [f for f in offers(PARENT, tune_of(changes)) if isinstance(f, Variant)]
    return list(dict.fromkeys(part.reason for f in found for part in f.parts if part.reason))


def test_both_others_wholly_and_late() -> None:
    """Of G7's diminished seventh B D F A flat: B flat 7 and E7; D flat 7 is the tritone partner."""
    assert insertions(PARENT, tune_of("| G7 | C6 |")) == [
        [("Bb7", 0, 4)],
        [("Bb7", 2, 2)],
        [("E7", 0, 4)],
        [("E7", 2, 2)],
    ]


@pytest.mark.parametrize("row", rows("dim7_parents"), ids=lambda row: row["dim7_root"])
def test_with_the_tritone_partner_they_are_the_published_four(row: dict[str, str]) -> None:
    """dim7_parents.tsv: the dominants of each diminished seventh (Cohn 2012, ch. 7)."""
    listed = row["parents_named"].split()
    four = {Chord.parse(name).root.pitch_class for name in listed}
    for name in listed:
        dominant = Chord.parse(name.removesuffix("b9"))
        target = dominant.root.transpose(Interval.parse("P4"))
        tune = tune_of(f"| {dominant} | {target.name}6 |", key=target.plain().name)
        found = [f for move in (PARENT, PARTNER) for f in insertions(move, tune)]
        roots = {Chord.parse(put[0][0]).root.pitch_class for put in found}
        assert roots == four - {dominant.root.pitch_class}


def test_the_note_that_is_lost_is_said() -> None:
    assert reasons("| G7 | C6 |") == [
        "B♭7 replaces G7 as the backdoor dominant, ♭VII7: D and F stay, the third B drops out",
        "E7 replaces G7 as one of the four dominants of the same diminished seventh: B and D stay, "
        "the seventh F drops out",
    ]


def test_the_backdoor_is_flat_seven_to_the_one_of_a_major_key() -> None:
    """♭VII7 – I (common practice, no source)."""
    assert [put[0][0] for put in insertions("backdoor", tune_of("| G7 | C6 |"))] == ["Bb7", "Bb7"]
    for changes, key in (("| G7 | C6 |", "F"), ("| E7 | Am7 |", "C"), ("| A7 | Dm7 |", "C")):
        tune = tune_of(changes, key=key)
        assert not insertions("backdoor", tune)
        assert rules("backdoor", tune)[0] == (
            "it must replace the V7 that resolves to the I of a major key"
        )


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ("| G7 | Am7 |", "the dominant must resolve down a fifth"),
        ("| G7/B | C6 |", "the chart has another bass under the chord"),
        ("| G9sus4 | C6 |", "G9sus4 keeps its suspension"),
        ("| F6 | G7 | G7 |", "not on the final chord"),
    ],
)
def test_the_rule_that_keeps_a_parent_out_is_named(changes: str, rule: str) -> None:
    assert rule in rules(PARENT, tune_of(changes))
