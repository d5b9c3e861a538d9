"""Keys found from chords: rows whose key is plain, or shared (common practice, no source)."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

import harmonykit as hk
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import find_keys, is_tonic, said_keys
from harmonykit.tune.bar import TuneError
from harmonykit.tune.tune import Tune


def first(row) -> str:
    return str(find_keys(row)[0][0])


def likely(row, least=0.05) -> set[str]:
    return {str(key) for key, p in find_keys(row) if p >= least}


@pytest.mark.parametrize(
    ("row", "key"),
    [
        ("Dm7 G7 Cmaj7 Am7", "C major"),
        ("Am Dm E7 Am", "A minor"),
        ("Bm7b5 E7 Am6", "A minor"),
        ("Gb Db7 Gb", "Gb major"),
        ("F#m B7 E", "E major"),
        ("Ebmaj7 Cm7 Fm7 Bb7", "Eb major"),
        ("D B7 E7 A7 D", "D major"),
        ("C6 A7 Dm7 G7", "C major"),
        ("C6 A7 Dm7 G7 " * 4, "C major"),
        ("Bbmaj7 G7 Cm7 F7", "Bb major"),
        ("C F G7 C", "C major"),
        ("Am G F E", "A minor"),
        ("G F C G", "G major"),
    ],
)
def test_plain_keys(row, key):
    assert first(row) == key


@pytest.mark.parametrize(
    ("row", "key"),
    [
        # Twelve bars: plain, with quick change, a jazz blues, minor blues.
        ("|F7|F7|F7|F7|Bb7|Bb7|F7|F7|C7|Bb7|F7|C7|", "F major"),
        ("|C7|F7|C7|C7|F7|F7|C7|C7|G7|F7|C7|G7|", "C major"),
        ("|A|A|A|A7|D|D|A|A|E|D|A|E|", "A major"),
        ("|Bb7|Eb7|Bb7|Fm7 Bb7|Eb7|Edim7|Bb7|Dm7b5 G7|Cm7|F7|Bb7 G7|Cm7 F7|", "Bb major"),
        ("|F7|Bb7 Bdim7|F7|Cm7 F7|Bb7|Bdim7|F7|D7|Gm7|C7|F7 D7|Gm7 C7|", "F major"),
        ("|Am7|Am7|Am7|Am7|Dm7|Dm7|Am7|Am7|F7|E7|Am7|Am7|", "A minor"),
        ("|Cm6|Fm6|Cm6|C7|Fm6|Fm6|Cm6|Cm6|Ab7|G7|Cm6|Dm7b5 G7|", "C minor"),
        ("|Gm7|Gm7|Gm7|Gm7|Cm7|Cm7|Gm7|Gm7|Eb7|D7|Gm7|D7|", "G minor"),
    ],
)
def test_a_blues_stands_in_the_key_of_its_first_bar(row, key):
    assert first(row) == key


@pytest.mark.parametrize(
    ("row", "keys"),
    [
        ("Am F C G", {"A minor", "C major"}),
        ("F C G Am", {"A minor", "C major"}),
        ("G D Em C", {"G major", "E minor"}),
        ("Dm C Dm C", {"D minor"}),
        ("G7 F G7 F", {"G major"}),
        ("D C D C", {"D major"}),
        ("Em D C D", {"E minor"}),
        ("C G Am F", {"C major", "A minor"}),
        ("F C", {"F major", "C major"}),
        ("C Am F G", {"C major", "A minor"}),
        # Vamps: the tonic of the mode is among the likely ones.
        ("Dm7 G7 Dm7 G7", {"D minor", "C major"}),
        ("Dm7 Em7 Dm7 Em7", {"D minor"}),
        ("G F G F", {"G major"}),
        ("Fmaj7 G Fmaj7 G", {"F major", "G major"}),
        ("Dm7 Dm7 Dm7 Dm7", {"D minor"}),
        ("Am D Am D", {"A minor"}),
    ],
)
def test_shared_rows_name_every_likely_key(row, keys):
    assert likely(row) >= keys


@pytest.mark.parametrize(
    ("row", "key"),
    [
        # The ii-V, and the chain of them, by the key that each goes to: common practice, no source.
        ("Dm7 G7", "C major"),
        ("Dm7b5 G7", "C minor"),
        ("Dm9 G13", "C major"),
        ("Dm7 G7sus4", "C major"),
        ("| Ebm7 | Ab7 |", "Db major"),
        ("Bm7 E7 Am7 D7", "G major"),
        ("Dm7 G7 Cm7 F7", "Bb major"),
        ("Em7 A7 Dm7 G7", "C major"),
    ],
)
def test_a_lone_two_five_stands_in_the_key_that_it_goes_to(row, key):
    assert first(row) == key
    assert sum(p for _, p in find_keys(row)) == pytest.approx(1)


def test_the_name_of_a_tune_is_not_its_chords():
    with pytest.raises(HarmonyError, match="the name of a tune") as caught:
        find_keys("heron_landing")
    assert caught.value.mend == 'read_tune("heron_landing")'


def test_probabilities_sum_to_one_over_the_24_keys():
    found = hk.find_keys("Dm7 G7 C6")
    assert len({(key.tonic.pitch_class, key.mode) for key, _ in found}) == 24
    assert sum(p for _, p in found) == pytest.approx(1)
    assert [p for _, p in found] == sorted((p for _, p in found), reverse=True)


@pytest.mark.parametrize("row", ["Dm7 G7 C6 A7", "Am F C G", "|F7|Bb7|F7|F7|Bb7|Bb7|F7|D7|"])
@pytest.mark.parametrize("interval", ["m2", "M3", "P5", "m7"])
def test_a_transposed_row_has_transposed_keys(row, interval):
    tune = Tune.parse(
        'format = 1\ntitle = "Weir"\nkey = "C"\nmeter = "4/4"\n[[sections]]\nname = "A"\n'
        f'changes = "{row if "|" in row else "| " + " | ".join(row.split()) + " |"}"\n'
    )
    up = hk.Interval.parse(interval)
    here = {(k.tonic.pitch_class, k.mode): p for k, p in find_keys(tune)}
    there = {(k.tonic.pitch_class, k.mode): p for k, p in find_keys(tune.transpose(up))}
    for (tonic, mode), p in here.items():
        assert there[(tonic + up.semitones) % 12, mode] == pytest.approx(p)


def test_a_tune_a_text_and_chords_are_told_alike():
    symbols = "C6 A7 Dm7 G7".split()
    chords = [Chord.parse(each) for each in symbols]
    asked = [symbols, chords, [(each, Q(4)) for each in chords], "| C6 | A7 | Dm7 | G7 |"]
    for given in asked:
        assert find_keys(given) == find_keys("C6 A7 Dm7 G7")


def test_keys_are_spelled_near_the_chords():
    assert first("F# C#7 F#") == "F# major"
    assert first("Gb Db7 Gb") == "Gb major"


@pytest.mark.parametrize("silent", [[(None, Q(4))], ["N.C."], [None]])
def test_silence_tells_nothing(silent):
    with pytest.raises(TuneError, match="chords are missing"):
        find_keys(silent)


def test_words_name_the_likeliest_and_no_improbable_one():
    assert said_keys(find_keys("Dm7 G7 C6 Dm7 G7 C6")).count("%") == 1
    assert "A minor" in said_keys(find_keys("C G Am F"))


@pytest.mark.parametrize(
    ("symbol", "key", "expected"),
    [
        ("C", "C", True), ("C6/9", "C", True), ("Cmaj7", "C", True), ("C7", "C", False),
        ("Cm", "C", False), ("Cm7", "Cm", True), ("Cmmaj7", "Cm", True), ("Cm7b5", "Cm", False),
        ("Am7", "C", False), ("C5", "C", False),
    ],
)  # fmt: skip
def test_tonic_chords(symbol, key, expected):
    assert is_tonic(Chord.parse(symbol), Key.parse(key)) is expected


@pytest.mark.parametrize(
    ("changes", "column"), [("Dm7 G7 Hm7", 8), ("Dm7 Q", 5), ("C  Cx!", 6), ("| C | Q7 |", 7)]
)
def test_an_error_says_where_the_chord_stands(changes, column):
    with pytest.raises(HarmonyError) as caught:
        find_keys(changes)
    place = caught.value.place
    assert (place.text, place.line, place.column) == (changes, 1, column)


# Minor by ear: they begin or end by the dominant on the tonic (common practice, no source).
HOME_IN_MINOR = {
    "| Gm | Cm | D7 | Gm | Bb | Eb | D7 | Gm | C7 | F7 | Bb | D7 | Gm |": "G minor",
    "| Dm | Gm | A7 | Dm | F | C7 | F | A7 | Dm |": "D minor",
    "| Em | Am | B7 | Em | G | D7 | G | B7 Em |": "E minor",
    "| Cm | Ab | Eb | Bb | Cm | Ab | G7 | Cm |": "C minor",
    "| C | G | Am | E | C | G | Am E | Am |": "A minor",
}


@pytest.mark.parametrize("changes", HOME_IN_MINOR)
def test_a_plain_tune_that_comes_home_from_its_dominant_is_in_minor(changes: str) -> None:
    key, probability = find_keys(changes)[0]
    assert (str(key), probability > 0.6) == (HOME_IN_MINOR[changes], True)


@pytest.mark.parametrize(
    "changes", ["| C | G | Am | F | C | G | Am | F |", "| C | E7 | Am | F | G7 | C |"]
)
def test_a_minor_chord_on_the_way_or_at_the_end_of_a_loop_makes_no_minor_key(changes: str) -> None:
    assert str(find_keys(changes)[0][0]) == "C major"
