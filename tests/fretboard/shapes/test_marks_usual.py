"""How usual a shape is: shapes of chord books, and what must hold of every list."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import rows

from harmonykit.about.chord import chord as about_chord
from harmonykit.draw.shapes.box import shape_groups
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.marks import in_fifths, most_usual_first
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord
from harmonykit.workbook.panels.neck import shapes_of

TABLE = rows("usual_shapes")
NAMES = ["ukulele", "guitar", "baritone ukulele", "mandolin", "five-string banjo", "tenor guitar"]
ROOTS = "C Db D Eb E F F# G Ab A Bb B".split()
# The kinds that chord books print.
KINDS = (
    " m 7 m7 maj7 6 m6 mb5 dim7 m7b5 + sus2 sus4 7sus4 add9 9 m9 maj9 6/9 11 13 7b9 7#9 7#5 7b5 5"
).split(" ")
kinds = st.builds(Chord.of, st.sampled_from(ROOTS), st.sampled_from(KINDS))
necks = st.sampled_from(NAMES).map(Instrument.named)


def rank(row: dict[str, str]) -> int:
    """Return the place of a table's shape in the list of its chord, from 1; 99 where missing."""
    neck = Instrument.named(row["instrument"])
    shape = Voicing.parse(row["frets"], neck)
    assert can_hold(shape.frets, neck, Limits()), "the hand model refuses it"
    found = find_voicings(Chord.parse(row["chord"]), neck)
    return found.index(shape) + 1 if shape in found else 99


# Common practice, no source: tests/data/usual_shapes.tsv, from memory of chord books.
def test_what_chord_books_print_stands_near_the_top() -> None:
    ranks = {(row["instrument"], row["chord"], row["frets"]): rank(row) for row in TABLE}
    for name in NAMES:
        of_one = Counter(place for (neck, _, _), place in ranks.items() if neck == name)
        print(f"\n{name}: {sum(of_one.values())} shapes by place {dict(sorted(of_one.items()))}")
    print("not in the first three:", {key: n for key, n in ranks.items() if n > 3})
    assert max(ranks.values()) <= 10
    assert sum(place <= 3 for place in ranks.values()) >= 0.9 * len(ranks)
    assert sum(place == 1 for place in ranks.values()) >= 0.6 * len(ranks)


# Grips of a bass, a string that its finger damps, and three or four more; a diminished seventh on
# another of its tones; a ring finger flat below the little finger (common practice, no source).
@pytest.mark.parametrize(
    ("symbol", "frets", "among"),
    [
        ("Gmaj7", "3x443x", 5),
        ("Abmaj7", "4x554x", 5),
        ("G7", "3x343x", 8),
        ("Am7", "5x555x", 8),
        ("G13", "3x345x", 10),
        ("A13", "5x567x", 10),
        ("Am/G", "3x2210", 5),
        ("Adim7", "xx1212", 12),
        ("C#m7", "x46454", 5),
        ("Bm7", "x24232", 5),
        ("C13", "x32335", 5),
        ("F13", "x-8-7-8-8-10", 8),
    ],
)
def test_what_a_player_of_jazz_takes_is_near_the_top(symbol: str, frets: str, among: int) -> None:
    guitar = Instrument.named("guitar")
    found = find_voicings(Chord.parse(symbol), guitar)[:among]
    assert Voicing.parse(frets, guitar) in found


@pytest.mark.parametrize("symbol", ["F7", "F#m7", "Gm7", "C+", "Bb7"])
def test_the_plain_shape_stays_the_first(symbol: str) -> None:
    first = {"F7": "131211", "F#m7": "242222", "Gm7": "353333", "C+": "x32110", "Bb7": "x13131"}
    guitar = Instrument.named("guitar")
    assert find_voicings(Chord.parse(symbol), guitar)[0] == Voicing.parse(first[symbol], guitar)


# Grips that can be held and that no guitarist has: fingers on both sides of a barre, an open string
# between fingers high up, the thick four lowest strings (common practice, no source).
@pytest.mark.parametrize(
    ("symbol", "odd", "usual"),
    [
        ("Gm7", "313033 31333x 3133xx", "353333 3x333x"),
        ("Ab7", "431112 4311x2", "464544 4x454x"),
        ("Ab6", "431111", "4x354x"),
        ("Abmaj7", "431113 4310xx", "465544 4x554x"),
        ("B6", "764444 7968xx", "7x687x"),
        ("Db6", "x43364 986666", "x4332x"),
        ("Cm", "x31043", "x35543"),
        ("Gb6", "21132x", "2x132x"),
        ("Cmaj7", "x3245x", "x32000 x3545x"),
        ("D7", "x5457x", "xx0212 x5453x x57575"),
        ("C6", "x3225x", "x32210 x3221x"),
        ("C9", "", "x32333 x3233x"),
    ],
)
def test_what_no_hand_carries_stands_far_back(symbol: str, odd: str, usual: str) -> None:
    guitar = Instrument.named("guitar")
    printed = [shape.frets for shape in find_voicings(Chord.parse(symbol), guitar)]
    place = {text: printed.index(Voicing.parse(text, guitar).frets) for text in usual.split()}
    assert max(place.values()) < 8, place
    back = {
        text: printed.index(frets)
        for text in odd.split()
        if (frets := Voicing.parse(text, guitar).frets) in printed
    }
    assert min(back.values(), default=99) >= 8, back


# An open string that a finger beside it would damp; a hand spread over six strings; a low minor
# third; three strings under the ring finger below the little one (common practice, no source).
@pytest.mark.parametrize(
    ("symbol", "odd", "usual"),
    [
        ("B6", "x21102", "7x687x"),
        ("Bb6", "x10031 x10333", "6x576x"),
        ("Bb6", "x100x1", "x1003x"),
        ("F6", "100211", "xx3231 1x323x"),
        ("Gm7", "3130xx 1100xx", "3x33xx"),
        ("Bmaj7", "x21302", "x2434x x24342"),
        ("Gm6", "310030 312033", "3x233x 355353"),
        ("G7", "320031", "320001 353433 3x343x"),
        ("C7", "x35556", "x32310 x35353"),
        ("Bb7", "x13334", "x13131 6x676x"),
    ],
)
def test_what_a_player_would_not_take_stands_behind_what_he_takes(
    symbol: str, odd: str, usual: str
) -> None:
    guitar = Instrument.named("guitar")
    printed = [shape.frets for shape in find_voicings(Chord.parse(symbol), guitar)]
    last, first = (
        [printed.index(Voicing.parse(text, guitar).frets) for text in row.split()]
        for row in (usual, odd)
    )
    assert max(last) < min(first)


# Grips that are carried along the neck: E, A and C shapes of the guitar, barred (common practice).
@pytest.mark.parametrize("root", ROOTS)
def test_a_barred_grip_is_near_the_top_for_every_root(root: str) -> None:
    guitar = Instrument.named("guitar")
    found = [shape.frets for shape in find_voicings(Chord.of(root), guitar)[:6]]
    at = (ROOTS.index(root) - ROOTS.index("E")) % 12
    e_shape = (at, at + 2, at + 2, at + 1, at, at)
    bars = [
        e_shape,
        tuple(None if n is None else (at + 7) % 12 + n for n in (None, 0, 2, 2, 2, 0)),
    ]
    assert any(frets in found for frets in bars)


@given(kinds, necks)
def test_a_shape_sounds_what_makes_the_chord(chord: Chord, neck: Instrument) -> None:
    root = chord.root.pitch_class
    numbers = {degree.number: degree for degree in chord.degrees}
    keep = [degree for degree in chord.degrees if degree.alter and degree.number != 3]
    keep += [degree for n, degree in numbers.items() if n == 6 or n == 7]
    if 11 not in numbers:
        keep += [degree for n, degree in numbers.items() if n in (2, 3, 4)]
    for shape in find_voicings(chord, neck, 7):
        assert shape.pcs <= chord.pcs
        heard = {pitch % 12 for pitch in shape.sounding}
        missing = [d for d in keep if (root + d.pitch_class) % 12 not in heard]
        assert not missing, (chord, shape, missing)


@given(st.sampled_from(ROOTS), st.sampled_from(["13", "maj13"]), necks)
def test_a_thirteenth_has_no_eleventh_beside_its_third(
    root: str, kind: str, neck: Instrument
) -> None:
    chord = Chord.of(root, kind)
    found = find_voicings(chord, neck)
    assert found
    for shape in found:
        assert (chord.root.pitch_class + 5) % 12 not in {pitch % 12 for pitch in shape.sounding}


def test_a_diminished_seventh_is_whole_on_four_strings() -> None:
    for root in ROOTS:
        chord = Chord.of(root, "dim7")
        for name in NAMES:
            for shape in find_voicings(chord, Instrument.named(name), 7):
                assert shape.pcs == chord.pcs


@given(kinds, necks)
def test_a_shape_without_its_root_is_never_the_first(chord: Chord, neck: Instrument) -> None:
    found = find_voicings(chord, neck)
    has_root = [chord.root.pitch_class in {pitch % 12 for pitch in s.sounding} for s in found]
    assert not any(has_root) or has_root[0]


@pytest.mark.parametrize("name", ["ukulele", "guitar", "mandolin", "tenor guitar"])
def test_there_is_a_shape_for_whatever_a_chord_book_prints(name: str) -> None:
    neck = Instrument.named(name)
    chords = [Chord.of(root, kind) for root in ROOTS for kind in KINDS]
    few = chords if len(neck.strings) == 4 else chords[::7]
    assert [chord.symbol for chord in few if not find_voicings(chord, neck)] == []


@given(kinds, necks, st.randoms())
def test_the_order_does_not_depend_on_the_order_before(
    chord: Chord, neck: Instrument, random: object
) -> None:
    found = [shape.frets for shape in find_voicings(chord, neck, 5)]
    mixed = list(found)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    assert most_usual_first(chord, neck, mixed) == found


@given(kinds, st.sampled_from(["ukulele", "guitar", "baritone ukulele"]))
def test_command_panel_sheet_and_function_give_the_same(chord: Chord, name: str) -> None:
    neck = Instrument.named(name)
    found = [shape.digits for shape in find_voicings(chord, neck)]
    assert found == [shape.digits for shape in shapes_of(chord.pcs, chord.symbol, name)]
    (group,) = shape_groups(neck, [chord], most=1)
    assert group.note.split()[-2] == str(len(found))


@pytest.mark.parametrize(
    "symbol",
    [
        "C",
        "C9",
        "C/E",
        *(pytest.param(one, marks=pytest.mark.long) for one in ("F7", "Bbm6", "E7#9", "C13")),
    ],
)
@pytest.mark.parametrize("name", ["ukulele", "guitar"])
def test_the_command_gives_the_same(symbol: str, name: str) -> None:
    told = [shape["digits"] for shape in about_chord(symbol).facts(name)["shapes"]]
    found = find_voicings(Chord.parse(symbol), Instrument.named(name))
    assert told == [shape.digits for shape in found]


@pytest.mark.parametrize("name", NAMES)
def test_strings_in_fifths(name: str) -> None:
    assert in_fifths(Instrument.named(name)) == (name in ("mandolin", "tenor guitar"))
