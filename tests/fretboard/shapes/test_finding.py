"""The search for voicings: exhaustive tables, two algorithms, and what any teacher knows."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import chords
from tables import rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import limits_at
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.finding import Wanted, find_voicings
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.theory.note import Note
from harmonykit.theory.sets.pcset import PcSet

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
LOW_G, BARITONE = Instrument.named("ukulele low g"), Instrument.named("baritone ukulele")


def uke(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE)


def all_digits(
    chord: Chord,
    instrument: Instrument,
    max_fret: int = 12,
    *,
    playable: bool = True,
    **asked: Any,
) -> list[str]:
    wanted = Wanted(**asked)
    found = find_voicings(chord, instrument, max_fret, playable=playable, wanted=wanted)
    return [shape.digits for shape in found]


TABLE = rows("voicings_uke")


@pytest.mark.parametrize("symbol", ["C6", "Bbm6"])
def test_all_shapes_of_a_chord_on_the_ukulele(symbol: str) -> None:
    expected = [row["frets_gCEA"].replace(" ", "-") for row in TABLE if row["chord"] == symbol]
    found = all_digits(Chord.parse(symbol), UKULELE, playable=False)
    assert sorted(found) == sorted(expected)


@pytest.mark.parametrize(
    "row", rows("voicings_uke_counts"), ids=lambda row: f"{row['tuning']} {row['chord']}"
)
def test_counts_of_shapes_by_span(row: dict[str, str]) -> None:
    instrument = UKULELE if row["tuning"] == "gCEA" else BARITONE
    chord = Chord.parse(row["chord"])
    for span in (2, 3, 4):
        found = find_voicings(chord, instrument, playable=False, wanted=Wanted(max_span=span))
        assert len(found) == int(row[f"span_le_{span}"])


E7B9 = Chord.parse("E7b9")


# Six strings, frets 0 to 12, span 3, mutes allowed; each count by two independent algorithms.
@pytest.mark.parametrize(
    ("chord", "options", "count"),
    [
        (E7B9, {}, 235),
        (E7B9, {"bass": "E"}, 93),
        (E7B9, {"omit": ("5",)}, 472),
        (E7B9, {"omit": ("1",)}, 480),
        (Chord.parse("G#dim7"), {}, 245),
        (E7B9, {"omit": ("1", "5")}, 852),
    ],
    ids=["whole", "E lowest", "fifth optional", "root optional", "G#dim7", "shell G# D F"],
)
def test_counts_of_shapes_on_the_guitar(
    chord: Chord, options: dict[str, object], count: int
) -> None:
    assert len(all_digits(chord, GUITAR, mutes=True, playable=False, **options)) == count


def test_counts_by_what_a_hand_has_to_do() -> None:
    found = find_voicings(E7B9, GUITAR, playable=False, wanted=Wanted(mutes=True))
    assert sum(len(shape.fretted) <= 4 for shape in found) == 117
    whole = [shape for shape in found if "-x-" not in shape.digits.strip("x-")]
    assert len(whole) == 175


@given(chords, st.sampled_from([UKULELE, LOW_G, BARITONE]), st.booleans())
def test_a_voicing_sounds_its_chord_and_nothing_else(
    chord: Chord, instrument: Instrument, mutes: bool
) -> None:
    for shape in find_voicings(chord, instrument, playable=False, wanted=Wanted(mutes=mutes)):
        # A foreign bass sounds only where it is asked for.
        assert shape.pcs == chord.over(None).pcs
        spelled = [note for note in shape.spelled(chord) if note is not None]
        assert tuple(note.midi for note in spelled) == shape.sounding
        assert {note.name for note in spelled} == {note.name for note in chord.tones}


# The top line and the bass are pitches, not strings: G C E A with a high g.
def test_the_top_asked_for_is_the_highest_pitch() -> None:
    c6 = Chord.parse("C6")
    ours = [row for row in TABLE if row["chord"] == "C6"]
    under_c5 = [
        row["frets_gCEA"].replace(" ", "-")
        for row in ours
        if max(map(int, row["midi_reentrant"].split(","))) == 72
    ]
    assert len(under_c5) > 1
    assert sorted(all_digits(c6, UKULELE, top="C5", playable=False)) == sorted(under_c5)
    by_name = find_voicings(c6, UKULELE, wanted=Wanted(top="C"))
    assert {shape.top % 12 for shape in by_name} == {0}
    assert (
        find_voicings(c6, UKULELE, wanted=Wanted(top="G4")) == ()
    )  # four strings reach A4 at least
    assert find_voicings(c6, UKULELE, wanted=Wanted(top=72)) == find_voicings(
        c6, UKULELE, wanted=Wanted(top=Note.parse("C5"))
    )


def test_bass_and_top_choose_among_all_shapes() -> None:
    chord = Chord.parse("Am7")
    everything = find_voicings(chord, GUITAR, max_fret=5, wanted=Wanted(mutes=True))
    for tone in chord.tones:
        low = find_voicings(chord, GUITAR, max_fret=5, wanted=Wanted(mutes=True, bass=tone))
        assert set(low) == {s for s in everything if s.lowest % 12 == tone.pitch_class}
        high = find_voicings(chord, GUITAR, max_fret=5, wanted=Wanted(mutes=True, top=tone))
        assert set(high) == {s for s in everything if s.top % 12 == tone.pitch_class}


def test_a_foreign_bass_sounds_when_asked_for_and_lowest_alone() -> None:
    chord = Chord.parse("C/D")
    without = find_voicings(chord, GUITAR, playable=False, wanted=Wanted(mutes=True))
    assert without == find_voicings(
        Chord.parse("C"), GUITAR, playable=False, wanted=Wanted(mutes=True)
    )
    over_d = find_voicings(
        chord, GUITAR, playable=False, wanted=Wanted(mutes=True, bass=chord.bass)
    )
    assert "x-x-0-0-1-0" in [shape.digits for shape in over_d]
    for shape in over_d:
        assert shape.pcs == PcSet.of(0, 2, 4, 7)
        assert [pitch for pitch in shape.sounding if pitch % 12 == 2] == [
            pitch for pitch in shape.sounding if pitch == shape.lowest
        ]


def test_an_own_bass_is_a_tone_like_the_others() -> None:
    over_e = find_voicings(Chord.parse("C/E"), UKULELE)
    assert over_e and over_e == find_voicings(Chord.parse("C"), UKULELE, wanted=Wanted(bass="E"))
    assert {shape.lowest % 12 for shape in over_e} == {4}
    everything = find_voicings(Chord.parse("C/E"), UKULELE, playable=False)
    assert everything == find_voicings(Chord.parse("C"), UKULELE, playable=False)


def test_what_may_be_left_out_may_still_sound() -> None:
    whole = set(find_voicings(Chord.parse("C7"), GUITAR, wanted=Wanted(mutes=True, omit=())))
    loose = set(find_voicings(Chord.parse("C7"), GUITAR, wanted=Wanted(mutes=True, omit=("5",))))
    assert whole < loose
    # The open C7 of every guitar book has no fifth (common practice, no source).
    assert Voicing.parse("x32310", GUITAR) in loose - whole
    assert set(find_voicings(Chord.parse("C7"), GUITAR)) == loose


# 175 of the 235 have no muted string between two that sound (two independent algorithms).
@pytest.mark.parametrize(("mutes", "count"), [("any", 235), ("outer", 175)])
def test_muted_strings_may_be_the_outer_ones_alone(mutes: str, count: int) -> None:
    assert len(all_digits(E7B9, GUITAR, mutes=mutes, playable=False)) == count


def test_every_choice_of_muted_strings_is_part_of_all() -> None:
    chord = Chord.parse("C6")
    found = {
        mutes: set(find_voicings(chord, GUITAR, 5, wanted=Wanted(mutes=mutes)))
        for mutes in ("none", "any", "outer", "inner")
    }
    assert found["none"] == found["outer"] & found["inner"]
    assert found["outer"] | found["inner"] < found["any"]
    assert found["any"] == set(find_voicings(chord, GUITAR, 5, wanted=Wanted(mutes=True)))


def test_shapes_without_open_strings_can_be_moved() -> None:
    chord = Chord.parse("C6")
    closed = find_voicings(chord, UKULELE, playable=False, wanted=Wanted(opens=False))
    assert closed == tuple(
        s for s in find_voicings(chord, UKULELE, playable=False) if 0 not in s.frets
    )
    # voicings_uke_counts.tsv: four of C6 have no open string.
    assert len(closed) == 4


def test_tones_that_may_sound_twice_are_chosen() -> None:
    chord = Chord.parse("C")
    everything = find_voicings(chord, UKULELE, 7, playable=False)
    for tone in chord.tones:
        found = find_voicings(chord, UKULELE, 7, playable=False, wanted=Wanted(doubling=(tone,)))
        assert found == tuple(
            shape
            for shape in everything
            if [p % 12 for p in shape.sounding].count(tone.pitch_class) > 1
        )
    # Four strings and three tones: one of them sounds twice, or a string is muted.
    assert find_voicings(chord, UKULELE, wanted=Wanted(doubling=False, mutes=False)) == ()
    assert {
        len(s.sounding) for s in find_voicings(chord, UKULELE, wanted=Wanted(doubling=False))
    } == {3}
    triads = find_voicings(
        chord, UKULELE, 5, playable=False, wanted=Wanted(mutes=True, doubling=False)
    )
    assert all(len(shape.sounding) == 3 for shape in triads)
    assert "x-0-0-x" not in [shape.digits for shape in triads]


# The four drop 2 shapes of Fmaj7 on the first four strings, and the drop 3 shapes that begin on
# the last two: common practice, no source.
@pytest.mark.parametrize(
    ("layout", "strings", "shapes"),
    [
        ("drop 2", "xx....", ["xx2211", "xx3555", "xx7968", "x-x-10-10-10-12"]),
        ("drop 2", "x....x", ["x3325x", "x7756x", "x-8-10-9-10-x"]),
        ("drop 3", ".x...x", ["1x221x", "5x355x", "8x796x", "12-x-10-10-10-x"]),
    ],
)
def test_dropped_shapes_of_guitarists_are_found(
    layout: str, strings: str, shapes: list[str]
) -> None:
    expected = {Voicing.parse(digits, GUITAR) for digits in shapes}
    found = find_voicings(
        Chord.parse("Fmaj7"),
        GUITAR,
        14,
        playable=False,
        wanted=Wanted(mutes=True, layout=layout, opens=False),
    )
    muted = [string for string, sign in enumerate(strings) if sign == "x"]
    ours = {s for s in found if [n for n, f in enumerate(s.frets) if f is None] == muted}
    assert {shape for shape in ours if shape.highest_fret <= 12} == expected


# Open G on a banjo is a G chord; the short string's frets are the neck's (common practice).
def test_a_banjo_is_searched_with_its_short_string() -> None:
    banjo = Instrument.named("five-string banjo")
    assert find_voicings(Chord.parse("G"), banjo)[0] == Voicing.parse("00000", banjo)
    found = find_voicings(Chord.parse("G"), banjo, wanted=Wanted(mutes=False))
    for shape in found:
        assert shape.pcs == PcSet.of(7, 11, 2)
        assert shape.frets[0] == 0 or (shape.frets[0] or 0) > 5
    # B on the g string, four semitones above its open note, lies at the neck's fret 9.
    assert Voicing.parse("90000", banjo) in found
    assert Voicing.parse("90000", banjo).midi == (71, 50, 55, 59, 62)


def test_a_short_string_lacks_the_frets_before_its_start() -> None:
    banjo = Instrument.named("five-string banjo")
    with pytest.raises(HarmonyError, match="g string has no fret 3: it starts at fret 5"):
        Voicing(banjo, (3, 0, 0, 0, 0))


# Rootless ninths (common practice, no source): G9 = A D F B, C9 = G D E Bb.
@pytest.mark.parametrize(("symbol", "digits"), [("G9", "2-2-1-2"), ("C9", "0-2-0-1")])
def test_a_rootless_ninth_is_found_where_the_root_may_go(symbol: str, digits: str) -> None:
    assert digits not in all_digits(Chord.parse(symbol), UKULELE, omit=("5",))
    assert digits in all_digits(Chord.parse(symbol), UKULELE, omit=("1",))
    assert digits in all_digits(Chord.parse(symbol), UKULELE)[1:4]


def test_the_hand_and_its_limits_choose_among_all_shapes() -> None:
    chord = Chord.parse("F")
    for level in (1, 2, 3):
        limits = limits_at(level, GUITAR)
        found = find_voicings(chord, GUITAR, limits=limits, wanted=Wanted(mutes=True))
        everything = find_voicings(chord, GUITAR, playable=False, wanted=Wanted(mutes=True))
        assert set(found) == {s for s in everything if fit(s.frets, GUITAR, limits)}
    barre = Voicing.parse("133211", GUITAR)
    assert barre not in find_voicings(chord, GUITAR, limits=limits_at(1, GUITAR))
    assert barre in find_voicings(chord, GUITAR, limits=limits_at(3, GUITAR))


def test_the_neck_ends_the_search() -> None:
    short = Instrument.parse("G4 C4 E4 A4", frets=4)
    assert find_voicings(Chord.parse("C6"), short, playable=False) == tuple(
        Voicing(short, shape.frets)
        for shape in find_voicings(Chord.parse("C6"), UKULELE, max_fret=4, playable=False)
    )
    high = all_digits(Chord.parse("F#dim7"), UKULELE, max_fret=99)
    assert "14-15-14-15" in high


def test_limits_below_0_are_refused() -> None:
    with pytest.raises(HarmonyError, match="0 or more"):
        find_voicings(Chord.parse("C"), UKULELE, wanted=Wanted(max_span=-1))
    with pytest.raises(HarmonyError, match="neither left out nor doubled"):
        find_voicings(Chord.parse("C"), UKULELE, wanted=Wanted(omit=("b7",)))


# One movable shape makes every diminished seventh (common practice; it follows by arithmetic).
def test_three_diminished_sevenths_from_one_shape() -> None:
    sounds = {uke(digits).pcs for digits in ("0101", "1212", "2323")}
    assert len(sounds) == 3
    for up in (3, 6, 9):
        moved = Voicing(UKULELE, tuple(fret + up for fret in (2, 3, 2, 3)))
        assert moved.pcs == uke("2323").pcs


# Lower one string of 2-3-2-3 by a fret (common practice; it follows by arithmetic).
@pytest.mark.parametrize(
    ("digits", "symbol"), [("1323", "Ab7"), ("2223", "D7"), ("2313", "F7"), ("2322", "B7")]
)
def test_a_string_lowered_makes_a_dominant(digits: str, symbol: str) -> None:
    assert uke(digits).pcs == Chord.parse(symbol).pcs
    assert uke(digits) in find_voicings(Chord.parse(symbol), UKULELE)
