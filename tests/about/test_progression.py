"""Everything about a progression, against music21's numerals, brute force, and laws."""

from __future__ import annotations

from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import roman

from harmonykit.about.progression import Progression, progression
from harmonykit.about.row import Change, common_tones, guide_tones
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import find_keys

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
sevenths = st.builds(
    lambda root, kind: Chord.of(root, kind),
    st.sampled_from(ROOTS),
    st.sampled_from(["7", "m7", "maj7", "m7b5", "dim7", "6", "m6"]),
)
rows_of_chords = st.lists(sevenths, min_size=1, max_size=6)


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("Dm7 G7 C", "C"), ("Bm7b5 E7 Am", "A minor"), ("C A7 Dm7 G7", "C"), ("C D7 G7 C", "C"),
        ("G Bdim7 C G", "C"), ("F#m7 B7 E A", "E"), ("Eb Cm7 Fm7 Bb7", "Eb"),
    ],
)  # fmt: skip
def test_numerals_mean_to_music21_what_the_chords_are(typed: str, key: str) -> None:
    found = progression(typed, key)
    tonic, mode = found.key.tonic, found.key.mode
    home = (tonic.name if mode == "major" else tonic.name.lower()).replace("b", "-")
    for chord, entry in zip(found.chords, found.functions, strict=True):
        numeral = entry.numeral.replace("maj7", "7").replace("ø7", "ø7")
        meant = roman.RomanNumeral(numeral, home.replace("--", "b-"))
        assert set(meant.pitchClasses) == set(chord.pcs), (str(chord), numeral)


@pytest.mark.parametrize(
    ("numerals", "key"),
    [
        ("ii7 V7 I", "C"), ("I vi IV V", "F#"), ("iiø7 V7 i", "A minor"), ("V7/ii ii7 V I", "Db"),
        ("viio7 I", "E"), ("viio7/V V", "Bb"), ("i iv V7 i", "G minor"), ("I–vi–ii–V", "Eb"),
    ],
)  # fmt: skip
def test_numerals_are_read_as_music21_reads_them(numerals: str, key: str) -> None:
    found = progression(numerals, key)
    tonic, mode = found.key.tonic, found.key.mode
    home = tonic.letter if mode == "major" else tonic.letter.lower()
    home += {-1: "-", 0: "", 1: "#"}[tonic.accidental]
    meant = [roman.RomanNumeral(each, home) for each in numerals.replace("–", " ").split()]
    assert [set(each.pitchClasses) for each in meant] == [set(c.pcs) for c in found.chords]


def test_numerals_keep_their_bars_and_need_a_key() -> None:
    assert progression("| ii7 V7 | I |", "C").beats == (2, 2, 4)
    for wrong, key in (("ii7 V7 I", None), ("ii7 VX I", "C"), ("ii7 V7/viii", "C")):
        with pytest.raises(HarmonyError):
            progression(wrong, key)


def test_the_guide_tones_of_a_two_five_one() -> None:
    # Common practice of jazz, no source; by hand: F C, then F falls not, C falls to B; and so on.
    found = progression("Dm7 G7 Cmaj7")
    assert [[note.name for note in pair] for pair in found.guide_tones] == [
        ["F", "C"], ["B", "F"], ["E", "B"],
    ]  # fmt: skip
    told = [[str(move) for move in change.guide_tones] for change in found.changes]
    assert told == [["F stays", "C falls to B"], ["B stays", "F falls to E"]]


def test_the_tritone_substitution_keeps_the_guide_tones() -> None:
    # By hand: G7 and Db7 share B (C flat) and F.
    (change,) = progression("G7 Db7", key="C").changes
    assert [move.semitones for move in change.guide_tones] == [0, 0]


@given(sevenths, sevenths)
def test_a_change_moves_as_little_as_any_matching(one: Chord, other: Chord) -> None:
    change = Change(one, other)
    ways = permutations(other.pcs)
    least = min(
        sum(min((a - b) % 12, (b - a) % 12) for a, b in zip(one.pcs, way, strict=True))
        for way in ways
    )
    assert change.semitones == least == sum(abs(move.semitones) for move in change.moves)
    assert {note.pitch_class for note in change.common_tones} == set(one.pcs & other.pcs)
    assert {n.pitch_class for n in common_tones(other, one)} == set(one.pcs & other.pcs)


def letters(row: Progression) -> list[int]:
    """Return how many letters each chord's root is above the tonic."""
    order = "CDEFGAB"
    tonic = order.index(str(row.key.tonic)[0])
    return [(order.index(str(chord.root)[0]) - tonic) % 7 for chord in row.chords]


@given(rows_of_chords)
def test_in_all_keys_the_same_is_told(row: list[Chord]) -> None:
    first = progression(row)
    every = first.in_all_keys()
    assert len({each.key.tonic.pitch_class for each in every}) == 12
    for each in every:
        up = (each.key.tonic.pitch_class - first.key.tonic.pitch_class) % 12
        assert [c.pcs for c in each.chords] == [c.pcs.transpose(up) for c in first.chords]
        # Where no root would have a double sign, and is written as another letter for it.
        if letters(each) == letters(first):
            assert each.numerals == first.numerals
        assert [c.semitones for c in each.changes] == [c.semitones for c in first.changes]
        assert max(abs(each.key.signature), 0) <= 6


@given(rows_of_chords)
@settings(max_examples=15)
def test_there_is_a_shape_for_each_chord_and_it_sounds_it(row: list[Chord]) -> None:
    found = progression(row)
    shapes = found.shapes("ukulele")
    assert [shape.chord for shape in shapes] == list(found.chords)
    for shape in shapes:
        assert shape.voicing.pcs <= shape.chord.pcs


@pytest.mark.parametrize(
    "typed",
    ["Dm7 G7 Cmaj7", "Dm7, G7, Cmaj7", "Dm7 - G7 - Cmaj7", "Dm7–G7–Cmaj7", "Dm7 → G7 → Cmaj7",
     "| Dm7 | G7 | Cmaj7 |", ["Dm7", Chord.parse("G7"), "Cmaj7"]],
)  # fmt: skip
def test_however_it_is_handed_in(typed: object) -> None:
    found = progression(typed)  # type: ignore[arg-type]
    assert [str(chord) for chord in found.chords] == ["Dm7", "G7", "Cmaj7"]
    assert found.beats == (4, 4, 4) and found.key == Key.parse("C")


def test_bars_keep_their_beats_and_are_typed_back() -> None:
    found = progression("| Dm7 G7 | Cmaj7 |")
    assert found.beats == (Fraction(2), Fraction(2), Fraction(4))
    for one in (found, progression("N.C. C6 Cdim7"), progression("|: C6 | G7 :|")):
        again: Progression = eval(repr(one), {"progression": progression})  # noqa: S307
        assert again == one
    assert progression("Cdim").doubts


def test_a_key_that_is_given_counts() -> None:
    found = progression("Am7 D7", key="C")
    assert found.numerals == ("vi7", "V7/V") or found.numerals == ("ii7/V", "V7/V")
    assert progression(found, key="G").numerals == ("ii7", "V7")


@pytest.mark.parametrize("wrong", [None, 7, 1.5, [], "", object(), b"", "foo bar", ["C", 7], "|"])
def test_what_is_not_a_progression_is_refused(wrong: object) -> None:
    with pytest.raises(HarmonyError):
        progression(wrong)  # type: ignore[arg-type]


def test_an_error_points_at_what_was_typed() -> None:
    with pytest.raises(HarmonyError) as wrong:
        progression("Dm7 Hx7 C")
    assert wrong.value.place is not None and wrong.value.place.text == "Dm7 Hx7 C"
    assert wrong.value.place.column == 5


def test_another_mode_is_refused() -> None:
    with pytest.raises(HarmonyError, match="is not a \\w+ key"):
        progression("Dm7 G7 C6").in_key("A minor")


def test_a_chord_without_a_third_has_no_guide_tone_of_it() -> None:
    assert guide_tones(Chord.parse("C5")) == ()
    assert progression("C5 G7").changes[0].guide_tones == ()


def test_it_sounds() -> None:
    sound = progression("Dm7 G7 Cmaj7").sound()
    assert sound.wav[:4] == b"RIFF" and sound.seconds == pytest.approx(3 * 0.9 + 0.6)


def test_a_key_that_is_not_sure_is_doubted_until_it_is_given() -> None:
    """A minor seventh and the dominant a fourth above: ii V in C, or i IV in D dorian."""
    found = progression("Dm7 G7")
    both = {str(found.key), *map(str, found.near)}
    assert both == {"D minor", "C major"}
    (doubt,) = found.doubts
    assert doubt.startswith("the key may also be ") and 'give key="' in doubt
    assert f"Doubt: {doubt}" in " ".join(str(found).split())
    for sure in (progression("Dm7 G7", key="C"), progression(found, key="C"), found.in_key("D")):
        assert sure.doubts == ()


@pytest.mark.parametrize("row", ["Dm7 G7 Cmaj7", "Dm7 G7 C6 A7 Dm7 G7 C6", "F#m7b5 B7 Em6"])
def test_a_doubt_of_the_key_goes_with_its_probability(row: str) -> None:
    sure = find_keys(progression(row).tune)[0][1] >= 0.75
    assert (progression(row).doubts == ()) == sure


def test_surprise_names_the_chord_of_each_change() -> None:
    # By hand: silence and repeats are no changes; C is counted as C6.
    found = progression("| C6 C6 | N.C. | G7 G7 | C C6 |", key="C")
    assert [(each.index, str(each.chord)) for each in found.surprise.changes] == [
        (2, "G7"), (4, "C"),
    ]  # fmt: skip
    assert all(found.chords[each.index] == each.chord for each in found.surprise.changes)
    assert "Surprise: " in str(found) and "Surprise" not in str(progression("C6 C"))


def test_a_usual_change_surprises_less_than_the_same_chords_backward() -> None:
    # Common practice, no source: ii V I is usual, V ii is not.
    assert progression("Dm7 G7 C6", "C").surprise.mean < progression("C6 G7 Dm7", "C").surprise.mean


def test_what_was_doubted_is_told_in_full() -> None:
    found = progression("Cdim F13 C6", key="C")
    told = " ".join(str(found).split())
    assert len(found.doubts) == 2
    assert all(f"Doubt: {doubt}" in told for doubt in found.doubts)


def test_the_name_of_a_tune_is_told_from_chords() -> None:
    with pytest.raises(HarmonyError, match="the name of a tune"):
        progression("heron_landing")
