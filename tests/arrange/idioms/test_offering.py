"""What idioms write: rows that were published, in twelve keys, and laws on drawn tunes.

The rows stand here as their sources print them; common practice, no source where none is named.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from small_tunes import tune_of, tunes

from harmonykit.arrange.idioms.offering import offers
from harmonykit.arrange.idioms.reading import IDIOMS
from harmonykit.arrange.idioms.twelve_bars import is_blues_form
from harmonykit.arrange.moves import Refused, Setting, Variant
from harmonykit.arrange.slots import slots_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.interval import Interval
from harmonykit.tune.tune import Tune

KEYS = ("P1", "m2", "M2", "m3", "M3", "P4", "A4", "P5", "m6", "M6", "m7", "M7")
Row = list[tuple[Chord | None, Fraction]]


def all_offers(name: str, tune: Tune, **known: object) -> list[Variant | Refused]:
    setting = Setting(tune.key, tune.melody, tune.tempo, **known)  # type: ignore[arg-type]
    slots = slots_of(tune)
    every = range(len(slots))
    return [each for index in every for each in offers(slots, index, setting, [IDIOMS[name]])]


def written(name: str, tune: Tune, **known: object) -> list[Row]:
    """Return the rows that an idiom writes, chords that last over bar lines joined."""
    found = []
    for each in all_offers(name, tune, **known):
        if isinstance(each, Variant):
            row: Row = []
            for part in each.parts:
                if row and row[-1][0] == part.chord:
                    row[-1] = (part.chord, row[-1][1] + part.beats)
                else:
                    row.append((part.chord, part.beats))
            found.append(row)
    return found


def refused(name: str, tune: Tune, **known: object) -> list[str]:
    return [each.rule for each in all_offers(name, tune, **known) if isinstance(each, Refused)]


def pitched(row: Row) -> list[tuple[list[int], Fraction]]:
    return [(sorted(chord.pcs) if chord else [], beats) for chord, beats in row]


# Name, changes of the tune, key, the row with beats, and what else is known.
PUBLISHED = [
    # Web, "Playing over Rhythm Changes": B flat, B dim, C minor, D flat dim, D minor.
    (
        "ascending passing diminished",
        "| Bb6 | Cm7 | Dm7 |",
        "Bb",
        "Bb6:2 Bdim7:2 Cm7:2 C#dim7:2",
    ),
    ("passing diminished turnaround", "| Bb6 G7 | Cm7 F7 |", "Bb", ""),
    ("passing diminished turnaround", "| Bb6 Gm7 | Cm7 F7 |", "Bb", "Bb6:2 Bdim7:2"),
    (
        "rise to the third degree",
        "| Bb6 G7 | Cm7 F7 | Bb6 G7 |",
        "Bb",
        "Bb6:2 Bdim7:2 Cm7:2 C#dim7:2 Dm7:2",
    ),
    ("ii–V of the fourth degree", "| Bb6 Bb7 | Eb6 |", "Bb", "Fm7:2"),
    ("raised fourth diminished", "| F6 | G7 |", "C", "F6:2 F#dim7:2"),
    ("raised fifth diminished", "| G7 | Am7 |", "C", "G7:2 G#dim7:2"),
    ("delayed tonic", "| G7 | C6 | F6 |", "C", "G7:4 Cdim7:2 C6:2"),
    ("descent from the fourth degree", "| F6 | C6 | Dm7 |", "C", "F6:2 Fm6:2 Em7:2 Ebdim7:2"),
    # Open Music Theory, "Embellishing Chords": a dominant and the minor seventh a fifth above.
    ("ii before a dominant", "| F7 | Bb6 | F7 |", "Bb", "Cm7:2 F7:2"),
    ("half-diminished ii before a dominant", "| A7 | Dm7 |", "C", "Em7b5:2 A7:2"),
    # Wikipedia, "Ragtime progression": E7 A7 D7 G7 for the row of fifths in C.
    ("chain of dominants", "| Em7 Am7 | Dm7 G7 |", "C", "E7:2 A7:2 D7:2"),
    ("dominant of the dominant", "| Dm7 | G7 |", "C", "D7:4"),
    # Wikipedia, "Tritone substitution": D flat 7 for G7; its ii is A flat minor.
    ("tritone substitution with its ii", "| G7 | C6 | F6 |", "C", "Abm7:2 Db7:2"),
    ("tritone ii–V", "| Dm7 | G7 | C6 |", "C", "Abm7:4 Db7:4"),
    ("tritone substitution in a cadence", "| Dm7 | G7 | C6 |", "C", "Dm7:4 Db7:4"),
    # The same, for dominants that are put in: E flat 7 stands for A7 before D minor, and so on.
    ("half-step dominant before ii", "| C6 | Dm7 |", "C", "C6:2 Eb7:2"),
    ("half-step dominant before the third degree", "| C6 | Em7 | F6 |", "C", "C6:2 F7:2"),
    ("half-step dominant before the fourth degree", "| C6 | F6 |", "C", "C6:2 Gb7:2"),
    ("half-step dominant before the dominant", "| C6 | G7 | C6 |", "C", "C6:2 Ab7:2"),
    ("half-step dominant before iv", "| Am | Dm7 |", "Am", "Am:2 Eb7:2"),
    ("chromatic ii–V", "| Dm7 | G7 | C6 |", "C", "Ebm7:2 Ab7:2 Dm7:2 G7:2"),
    # Wikipedia, "Backdoor progression": iv7, flat VII7, I.
    ("backdoor ii–V", "| Dm7 | G7 | C6 |", "C", "Fm7:4 Bb7:4"),
    ("backdoor after the fourth degree", "| F6 | C6 |", "C", "F6:2 Bb7:2"),
    ("minor subdominant", "| F6 | C6 |", "C", "F6:2 Fm6:2"),
    # Web, "Line Clichés": Am Am(maj7) Am7 Am6; Dm Dm(maj7) Dm7 G7; C C+ C6 C7.
    ("minor line cliché", "| Am | Am | Dm7 |", "Am", "Am:2 Ammaj7:2 Am7:2 Am6:2"),
    ("minor line cliché", "| Am7 | Am7 | Dm7 |", "Am", "Am:2 Ammaj7:2 Am7:2 Am6:2"),
    ("line cliché before the dominant", "| Dm7 | Dm7 | G7 |", "C", "Dm:2 Dmmaj7:2 Dm7:4"),
    ("rising line cliché", "| C | C | F |", "C", "C:2 C+:2 C6:2 C7:2"),
    ("major line cliché", "| C | C | F |", "C", "C:4 Cmaj7:2 C7:2"),
    # Wikipedia, "Nonchord tone": 4-3 and 9-8 suspensions.
    ("four–three suspension", "| Dm7 | G7 | C6 |", "C", "Dm7:4 G7sus4:2 G7:2"),
    ("four–three suspension on the tonic", "| G7 | C |", "C", "G7:4 Csus4:2 C:2"),
    ("nine–eight suspension", "| G | C |", "C", "G:4 Cadd9:2 C:2"),
    # Wikipedia, "Turnaround (music)": its rows, in C.
    (
        "flat-side chords for vi ii V",
        "| C6 Am7 | Dm7 G7 | C6 |",
        "C",
        "C6:2 Eb7:2 Abmaj7:2 Db7:2",
    ),
    ("VI7 for vi", "| C6 Am7 | Dm7 G7 |", "C", "A7:2"),
    ("flat six to the dominant", "| E7 | Am6 |", "Am", "F7:2 E7:2"),
    # Wikipedia, "Andalusian cadence": A minor, G, F, E.
    ("Andalusian descent", "| Am | Am | E |", "Am", "Am:4 G:2 F:2"),
    # Wikipedia, "Coltrane changes": Dm7 Eb7, Ab B7, E G7, C.
    (
        "major-third cycle",
        "| Dm7 | G7 | C6 | C6 | F6 |",
        "C",
        "Dm7:2 Eb7:2 Abmaj7:2 B7:2 Emaj7:2 G7:2 C6:4",
    ),
    ("flat seven for the dominant", "| G | C |", "C", "Bb:4"),
    ("flat six and flat seven home", "| F | G | C |", "C", "Ab:4 Bb:4"),
    ("flat six before the last chord", "| G7 | C6 |", "C", "G7:4 Abmaj7:2 C6:2"),
    ("flat two before the last chord", "| G7 | C6 |", "C", "G7:4 Dbmaj7:2 C6:2"),
    ("plagal ending in minor", "| G7 | C6 |", "C", "G7:4 Fm6:2 C6:2"),
    ("tag", "| G7 | C6 | C6 |", "C", "G7:4 Em7:1 A7:1 Dm7:1 G7:1 C6:4"),
    ("tag", "| G7 | C6 |", "C", ""),
    ("six-nine ending", "| G7 | C6 |", "C", "G7:4 C6/9:4"),
    ("major ending in minor", "| E7 | Am |", "Am", "E7:4 A:4"),
    ("planing down", "| Em7 | Dm7 |", "C", "Em7:2 Ebm7:2"),
    ("short minor line cliché", "| Am7 | Am7 | Dm7 |", "Am", "Am:2 Ammaj7:2 Am7:4"),
    ("descending diminished for the dominant", "| Em7 A7 | Dm7 |", "C", "Em7:2 Ebdim7:2"),
    ("descending diminished after the tonic", "| C6 Am7 | Dm7 |", "C", "C6:2 Ebdim7:2"),
    ("descending diminished after the tonic", "| C6 A7 | Dm7 |", "C", "C6:2 Ebdim7:2"),
    ("planing up", "| Dm7 | Em7 |", "C", "Dm7:2 D#m7:2"),
]  # fmt: skip


def row_of(text: str) -> Row:
    pairs = (word.rpartition(":") for word in text.split())
    return [(Chord.parse(name), Fraction(beats)) for name, _, beats in pairs]


@pytest.mark.parametrize(("name", "changes", "key", "row"), PUBLISHED)
def test_a_published_row_is_written_in_twelve_keys(
    name: str, changes: str, key: str, row: str
) -> None:
    tune = tune_of(changes, key=key)
    wanted = [row_of(row)] if row else []
    assert written(name, tune) == wanted
    for way in map(Interval.parse, KEYS):
        moved = [[(c.transpose(way) if c else None, b) for c, b in each] for each in wanted]
        found = written(name, tune.transpose(way))
        assert list(map(pitched, found)) == list(map(pitched, moved))


@pytest.mark.parametrize(
    ("name", "row"),
    [
        # Wikipedia, "Turnaround (music)".
        ("turnaround", "C6:2 Am7:2 Dm7:2 G7:2"),
        ("turnaround with a secondary dominant", "C6:2 A7:2 Dm7:2 G7:2"),
        ("turnaround from the third degree", "Em7:2 A7:2 Dm7:2 G7:2"),
        ("flat-side turnaround", "C6:2 Ebmaj7:2 Abmaj7:2 Db7:2"),
        ("turnaround with a passing diminished", "C6:2 C#dim7:2 Dm7:2 G7:2"),
        # Common practice, no source.
        ("ii–V to the beginning", "C6:4 Dm7:2 G7:2"),
        ("turnaround by half steps", "C6:2 A7:2 Ab7:2 G7:2"),
        ("turnaround under a held tonic", "C6:2 Am7:2 Dm7:2 G7sus4:2"),
    ],
)
def test_a_turnaround_stands_where_a_section_starts_again(name: str, row: str) -> None:
    tune = Tune.parse("|: C6 | F6 | C6 | C6 :|", key="C")
    assert written(name, tune) == [row_of(row)]
    once = Tune.parse("| C6 | F6 | C6 | C6 | F6 | C6 |", key="C")
    assert written(name, once) == []


def test_a_turnaround_stands_where_parts_are_written_out_too() -> None:
    """The chords of bars 1 to 4 in bars 9 to 12 begin the second part of a song."""
    part = "C6 | Am7 | Dm7 | G7 | C6 | F6 | C6 | C6"
    tune = Tune.parse(f"| {part} | {part} |", key="C")
    assert written("turnaround", tune) == [row_of("C6:2 Am7:2 Dm7:2 G7:2")]
    joined = Tune.parse(f"| {part.replace('C6 | C6', 'G7 | C6')} | {part} |", key="C")
    assert written("turnaround", joined) == [row_of("C6:1 Am7:1 Dm7:1 G7:1")]


def test_a_deceptive_cadence_stands_where_a_phrase_ends_and_the_tonic_is_known() -> None:
    """V to vi deceives who expects the tonic (common practice, no source)."""
    tune = tune_of("| C6 | F6 | G7 | C6 | F6 | G7 | F6 | C6 |")
    assert written("deceptive cadence", tune, rests=frozenset({3, 7})) == [row_of("G7:4 Am7:4")]
    assert written("deceptive cadence", tune, rests=frozenset({7})) == []
    new = tune_of("| F6 | Dm7 | G7 | C6 | F6 | G7 | F6 | C6 |")
    assert written("deceptive cadence", new, rests=frozenset({3, 7})) == []


@pytest.mark.parametrize(
    ("name", "plain", "row"),
    [
        (
            "four–three suspension on the tonic",
            "| C | G7 | C | F | C | G7 | C | C |",
            "Csus4:2 C:6",
        ),
        ("nine–eight suspension", "| C | G | C | F | C | G | C | C |", "Cadd9:2 C:6"),
    ],
)
def test_a_tonic_is_suspended_where_the_music_rests(name: str, plain: str, row: str) -> None:
    """On the chord of a cadence, not on each I after a V (common practice, no source)."""
    first = "G7:4 " if "7" in plain else "G:4 "
    assert written(name, tune_of(plain), rests=frozenset({5})) == [row_of(first + row)]


def test_a_suspension_waits_while_the_melody_has_its_resolution() -> None:
    """The note of resolution is not doubled (common practice, no source)."""
    for note, rule in (("B4", "the note of resolution"), ("D5", "")):
        tune = tune_of("| Dm7 | G7 | C6 |", melody=f"| r:4 | {note}:4 | r:4 |")
        assert any(rule in each for each in refused("four–three suspension", tune)) is bool(rule)
        assert bool(written("four–three suspension", tune)) is not bool(rule)


BLUES = "| C7 | F7 | C7 | C7 | F7 | F7 | C7 | C7 | Dm7 | G7 | C7 | C7 |"


def test_bar_four_of_a_blues_has_the_two_five_of_the_fourth_degree() -> None:
    name = "ii–V of the fourth degree in the blues"
    assert written(name, tune_of(BLUES)) == [row_of("C7:4 Gm7:2 C7:2")]
    assert written(name, tune_of("| C7 | C7 | F7 | F7 | C7 | C7 | F7 | F7 |")) == []


# Bars of a blues as it is written; the idiom; what it writes.
IN_A_BLUES = [
    # Wikipedia, "Twelve-bar blues": the quick change, and the bars of its jazz form.
    ("C7 C7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7", "quick change", "C7:4 F7:4 C7:8"),
    (
        "C7 C7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7",
        "quick change with a ii–V",
        "C7:4 F7:4 C7:4 Gm7:2 C7:2",
    ),
    (
        "C7 F7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7",
        "raised fourth diminished in the blues",
        "F7:4 F#dim7:4",
    ),
    ("C7 F7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7", "VI7 in the blues", "C7:4 A7:4"),
    (
        "C7 F7 C7 C7 F7 F7 C7 C7 G7 F7 C7 G7",
        "ii–V in the blues",
        "C7:4 A7:4 Dm7:4 G7:4",
    ),
    (
        "C7 F7 C7 C7 F7 F7 C7 C7 G7 G7 C7 G7",
        "ii–V for two bars of V7 in the blues",
        "C7:4 A7:4 Dm7:4 G7:4",
    ),
    # Its minor form, with flat VI in bar 9.
    ("Cm7 Cm7 Cm7 Cm7 Fm7 Fm7 Cm7 Cm7 G7 Fm7 Cm7 G7", "flat six in a minor blues", "Ab7:4 G7:4"),
    # Common practice, no source.
    (
        "C7 F7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7",
        "raised fourth diminished in bar 2 of the blues",
        "F7:2 F#dim7:2",
    ),
    ("C7 F7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7", "tritone substitution in the blues", "C7:6 Gb7:2"),
    ("C7 F7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7", "iii–VI in the blues", "C7:4 Em7:2 A7:2"),
    (
        "C7 F7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7",
        "descent by half steps in the blues",
        "C7:4 Em7:2 Ebm7:2",
    ),
    ("C7 F7 C7 C7 F7 F7 C7 C7 Dm7 G7 C7 C7", "backdoor in the blues", "F7:4 Bb7:4"),
    (
        "C7 F7 C7 C7 F7 F7 C7 C7 G7 F7 C7 G7",
        "blues turnaround to the dominant",
        "C7:2 A7:2 Dm7:2 G7:2",
    ),
    (
        "C7 F7 C7 C7 F7 F7 C7 C7 G7 F7 C7 G7",
        "blues turnaround by half steps",
        "C7:2 A7:2 Ab7:2 G7:2",
    ),
    (
        "Cm7 Cm7 Cm7 Cm7 Fm7 Fm7 Cm7 Cm7 Ab7 G7 Cm7 G7",
        "quick change in minor",
        "Cm7:4 Fm7:4 Cm7:8",
    ),
    (
        "Cm7 Cm7 Cm7 Cm7 Fm7 Fm7 Cm7 Cm7 Ab7 G7 Cm7 G7",
        "ii–V of the fourth degree in a minor blues",
        "Cm7:4 Gm7b5:2 C7:2",
    ),
    (
        "Cm7 Cm7 Cm7 Cm7 Fm7 Fm7 Cm7 Cm7 Ab7 G7 Cm7 G7",
        "turnaround in a minor blues",
        "Cm7:2 Ab7:2",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("bars", "name", "row"), IN_A_BLUES)
def test_the_bars_of_a_blues_have_idioms_of_their_own(bars: str, name: str, row: str) -> None:
    key = "Cm" if bars.startswith("Cm") else "C"
    tune = tune_of(f"| {' | '.join(bars.split())} |", key=key)
    assert written(name, tune) == [row_of(row)]
    # The same chords where there are not twelve bars are no blues.
    assert written(name, tune_of(f"| {' | '.join(bars.split())} | C6 |", key=key)) == []


def test_a_blues_keeps_its_sevenths_at_rest() -> None:
    """Wikipedia, "Twelve-bar blues": I7 and IV7, which resolve nowhere."""
    tune = tune_of(BLUES)
    slots, setting = slots_of(tune), Setting(tune.key, (), 120)
    assert is_blues_form(slots, tune.key)
    for index in range(len(slots)):
        for found in offers(slots, index, setting):
            if isinstance(found, Variant):
                inside = slots[index : index + found.slots]
                first = {slot.onset: slot.chord for slot in inside}
                for part in found.parts:
                    old = first.get(part.onset)
                    if old is not None and str(old) in ("C7", "F7"):
                        assert part.chord == old


@pytest.mark.parametrize(
    ("name", "changes", "rule"),
    [
        (
            "four–three suspension",
            "| Dm6 | G7 | C6 |",
            "a suspension must be prepared, and C is not in",
        ),
        ("raised fourth diminished to the tonic", "| F6 | C6 |", "it needs the bass line"),
        ("tritone substitution with its ii", "| G7/B | C6 | F6 |", "another bass"),
        ("VI7 for vi", "| F6 Am7 Dm7 / |", ""),
        ("minor line cliché", "| E7 | Am | Am |", "not on the final chord"),
        ("minor subdominant with the backdoor", "| F6 C6 / / |", "do not fit"),
    ],
)
def test_the_rule_that_keeps_it_out_is_named(name: str, changes: str, rule: str) -> None:
    found = refused(name, tune_of(changes))
    assert any(rule in each for each in found) if rule else not found


def test_a_melody_note_a_half_step_above_a_tone_keeps_it_out() -> None:
    """D flat over D flat 7 is its root; A over A flat minor is a half step above its root."""
    rubs = tune_of("| G7 | C6 | F6 |", melody="| A4:4 | r:4 | r:4 |")
    assert "A is a semitone above" in refused("tritone substitution with its ii", rubs)[0]
    fine = tune_of("| G7 | C6 | F6 |", melody="| B4:4 | r:4 | r:4 |")
    assert written("tritone substitution with its ii", fine)


def test_a_plain_tune_keeps_the_notes_of_its_melody_near_borrowed_chords() -> None:
    """F beside a melody's F sharp sounds like a mistake (common practice, no source)."""
    changes, name = "| D | G | D | G |", "flat seven for the dominant"
    for before, offered in (("F#4", False), ("G4", True)):
        tune = tune_of(changes, key="G", melody=f"| A4:4 | {before}:4 | A4:4 | B4:4 |")
        assert bool(written(name, tune)) is offered
    rules = refused(name, tune_of(changes, key="G", melody="| A4:4 | F#4:4 | A4:4 | B4:4 |"))
    assert "the melody's F♯ is heard beside F" in " ".join(rules)


@pytest.mark.parametrize(
    ("name", "changes", "key", "names"),
    [
        ("tritone ii–V", "| Cm7 | F7 | Bb6 |", "Bb", "F#m7 B7"),
        ("tritone ii–V", "| Bbm7 | Eb7 | Abmaj7 |", "Ab", "Em7 A7"),
        ("tritone substitution in a cadence", "| Cm7 | F7 | Bb6 |", "Bb", "Cm7 B7"),
        ("chromatic ii–V", "| Dm7 | G7 | C6 |", "C", "Ebm7 Ab7 Dm7 G7"),
        ("raised fourth diminished", "| E6 | F#7 |", "B", "E6 E#dim7"),
    ],
)
def test_roots_are_written_as_charts_write_them(
    name: str, changes: str, key: str, names: str
) -> None:
    """No C flat, no F flat; a ii bears the letter of its dominant (common practice, no source)."""
    (row,) = written(name, tune_of(changes, key=key))
    assert [str(chord) for chord, _ in row] == names.split()


def test_plain_tunes_get_triads() -> None:
    plain = Tune.parse("|: C | F | C | C :|", key="C")
    assert written("turnaround", plain) == [row_of("C:2 Am:2 Dm:2 G7:2")]


def test_the_bass_line_needs_a_bass() -> None:
    tune = tune_of("| F6 | C6 |")
    found = written("raised fourth diminished to the tonic", tune, bass_player=True)
    assert found == [] or str(found[0][-1][0]) == "C6/G"
    (pedal,) = written("dominant pedal", tune_of("| Dm7 | G7 | C6 |"), bass_player=True)
    assert [str(chord) for chord, _ in pedal] == ["Dm7/G"]
    inner = tune_of("| F6 | C6 | Dm7 |")
    (row,) = written("raised fourth diminished to the tonic", inner, bass_player=True)
    assert [str(chord) for chord, _ in row] == ["F6", "F#dim7", "C6/G"]


def test_the_reason_names_the_notes_that_move() -> None:
    (found,) = all_offers("delayed tonic", tune_of("| G7 | C6 | F6 |"))
    assert isinstance(found, Variant)
    reasons = [part.reason for part in found.parts if part.move]
    assert reasons == ["C°7 delays C6: the root C already sounds, G♭ rises to G and E♭ to E"]


@given(tunes())
def test_a_variant_fills_its_slots_and_no_more(tune: Tune) -> None:
    """Total length kept, no gap, no bar line crossed, no chord shorter than asked, no rub added."""
    slots, setting = slots_of(tune), Setting(tune.key, tune.melody, tune.tempo, 0.4)
    for index in range(len(slots)):
        for found in offers(slots, index, setting):
            if isinstance(found, Refused):
                assert found.rule
                continue
            inside = slots[index : index + found.slots]
            assert len(inside) == found.slots
            pieces = [piece for slot in inside for piece in slot.pieces]
            reached = inside[0].onset
            for part in found.parts:
                assert part.onset == reached and part.beats > 0
                (piece,) = [
                    p
                    for p in pieces
                    if p.bar == part.bar and p.onset <= reached < p.onset + p.beats
                ]
                reached += part.beats
                assert reached <= piece.onset + piece.beats
                assert bool(part.move) == bool(part.reason)
                assert len(part.reason.split()) <= 40
            assert reached == inside[-1].end
            assert any(part.move for part in found.parts)
            assert found.keeps_first == (found.parts[0].chord == inside[0].chord)
            assert not found.needs_next or inside[-1].after is not None
