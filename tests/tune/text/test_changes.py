"""The changes of a section, read: shares, slashes, named beats, metres.  Values by hand."""

from __future__ import annotations

from fractions import Fraction as Q

import pytest

from harmonykit.errors import HarmonyError, Place
from harmonykit.tune.bar import MOST_BARS, TuneError
from harmonykit.tune.text.changes import read_changes, read_meter


def read(text: str, meter: tuple[int, int] = (4, 4)):
    return read_changes(text, meter, lambda index: Place("", 1, index + 1, text))[0]


def timed(text: str, meter: tuple[int, int] = (4, 4)) -> list[tuple[str, Q, Q]]:
    changes = [change for bar in read(text, meter) for change in bar.changes]
    return [(c.chord.symbol if c.chord else "N.C.", c.at, c.beats) for c in changes]


@pytest.mark.parametrize(
    ("text", "meter", "expected"),
    [
        ("| C |", (4, 4), [("C", 0, 4)]),
        ("| C G7 |", (4, 4), [("C", 0, 2), ("G7", 2, 2)]),
        ("| C G7 |", (3, 4), [("C", 0, Q(3, 2)), ("G7", Q(3, 2), Q(3, 2))]),
        ("| C F G |", (3, 4), [("C", 0, 1), ("F", 1, 1), ("G", 2, 1)]),
        ("| C G7 |", (6, 8), [("C", 0, Q(3, 2)), ("G7", Q(3, 2), Q(3, 2))]),
        ("| C / / G7 |", (4, 4), [("C", 0, 3), ("G7", 3, 1)]),
        ("| C /// |", (4, 4), [("C", 0, 4)]),
        ("| Gm7 / C7 |", (3, 4), [("Gm7", 0, 2), ("C7", 2, 1)]),
        ("| C / G7 / / |", (5, 4), [("C", 0, 2), ("G7", 2, 3)]),
        ("| C / |", (6, 8), [("C", 0, 3)]),
        ("| C / Am / / / |", (6, 8), [("C", 0, 1), ("Am", 1, 2)]),
        ("| C G7@4 |", (4, 4), [("C", 0, 3), ("G7", 3, 1)]),
        ("| C@1 G7@3.5 |", (4, 4), [("C", 0, Q(5, 2)), ("G7", Q(5, 2), Q(3, 2))]),
        ("| C G7@7/3 |", (4, 4), [("C", 0, Q(4, 3)), ("G7", Q(4, 3), Q(8, 3))]),
        ("| C/E G7/D@2 |", (6, 8), [("C/E", 0, Q(3, 2)), ("G7/D", Q(3, 2), Q(3, 2))]),
        ("| G7@3 |", (4, 4), [("G7", 2, 2)]),
        ("| / C / / |", (4, 4), [("C", 1, 3)]),
        ("| C N.C. |", (4, 4), [("C", 0, 2), ("N.C.", 2, 2)]),
        ("| C | % |", (4, 4), [("C", 0, 4), ("C", 0, 4)]),
        ("| C G | % | % |", (2, 4), [("C", 0, 1), ("G", 1, 1)] * 3),
        ("| C | - |", (4, 4), [("C", 0, 4)]),
        ("| C D E F G A B C |", (4, 4), [(n, Q(i, 2), Q(1, 2)) for i, n in enumerate("CDEFGABC")]),
        ("| {3/4} C | G7 | {2/4} C |", (4, 4), [("C", 0, 3), ("G7", 0, 3), ("C", 0, 2)]),
        ("| {1 quarter} G7 | C |", (4, 4), [("G7", 0, 1), ("C", 0, 4)]),
        ("| {5/2 quarters} C |", (4, 4), [("C", 0, Q(5, 2))]),
        # Pushes: an eighth early, inside the bar and over the bar line.
        ("| C <G7 |", (4, 4), [("C", 0, Q(3, 2)), ("G7", Q(3, 2), Q(5, 2))]),
        ("| C | <F |", (4, 4), [("C", 0, Q(7, 2)), ("F", Q(7, 2), Q(1, 2))]),
        (
            "| C | <F G |",
            (6, 8),
            [("C", 0, Q(5, 2)), ("F", Q(5, 2), Q(1, 2)), ("G", Q(3, 2), Q(3, 2))],
        ),
        # What is offered in brackets takes no time.
        ("| C (Am) G7 (Db7(b5)) |", (4, 4), [("C", 0, 2), ("G7", 2, 2)]),
        ("| C (Am) / / G7 |", (4, 4), [("C", 0, 3), ("G7", 3, 1)]),
    ],
)
def test_who_lasts_how_long(text, meter, expected):
    assert timed(text, meter) == expected


def test_alternates_belong_to_the_chord_before_them():
    (bar,) = read("| C (Am) (Em7) G7@4 (Db7(b5)) |")
    assert [[str(c) for c in change.alternates] for change in bar.changes] == [
        ["Am", "Em7"],
        ["Db7b5"],
    ]
    # A pushed chord takes its own along, over the bar line.
    first, second = read("| C | <F (Dm) |")
    assert [str(c) for c in first.changes[1].alternates] == ["Dm"]
    assert second.changes == ()


def test_fermatas_hold_a_chord_or_a_beat():
    held = [bar.fermatas for bar in read(
        "| {fermata} C | C G7 {fermata} | C G7 {fermata@4.5} | - {fermata} | {6/8} C {fermata@2} |"
    )]  # fmt: skip
    assert held == [(0,), (2,), (Q(7, 2),), (0,), (Q(3, 2),)]


def test_signs_are_read_however_they_are_typed():
    text = "|: {vamp} {segno} C :|x4 D {Fine} | {to coda} E | F {DS al Coda} | {coda} G |"
    assert [bar.signs for bar in read(text)] == [
        ("segno", "vamp"), ("fine",), ("to coda",), ("D.S. al coda",), ("coda",),
    ]  # fmt: skip


def test_a_metre_holds_and_a_short_bar_does_not():
    bars = read("| {6/8} {1/2 quarters} C | D |")
    assert [(bar.meter, bar.length) for bar in bars] == [((6, 8), Q(1, 2)), ((6, 8), 3)]


@pytest.mark.parametrize(
    ("text", "column", "message"),
    [
        ("| C | [2 D |", 10, r"\[2 begins where \[1 is due"),
        ("|: C | [1 D :| [3 E |", 19, r"\[3 begins where \[2 is due"),
        ("|: C | [1,3 D :| [2 E :| [3 F |", 29, "pass 3 has an ending already"),
        ("|: C | [1 D | [2 E |", 18, "does not close"),
        ("| C / / / G7 |", 11, "too many beats: 5 in a bar of 4/4"),
        ("| C / / | G7 |", 7, "too few beats: 3 in a bar of 4/4"),
        ("| C ////// |", 5, "too many beats: 7"),
        ("| C F G |", 7, "cannot share a bar of 4/4 equally"),
        ("| {3 quarters} C F G A |", 22, "a bar of 3 quarter notes"),
        ("| % | C |", 3, "this is the first bar"),
        ("| C | {2/4} % |", 13, "another length"),
        ("| C % |", 5, "% must be alone"),
        ("| C - |", 5, "- must be alone"),
        ("| C G7@5 |", 5, "beat 5 cannot be used here"),
        ("| C G7@3 D7@2 |", 10, "beat 2 cannot be used here"),
        ("| C G7@0.5 |", 5, "cannot be used here"),
        ("| C G7 D7@3 |", 5, "does not name a beat"),
        ("| C G7@x |", 5, "does not name a beat"),
        ("| C @3 |", 5, "does not name a beat"),
        ("| C G7@3/0 |", 5, "does not name a beat"),
        ("| C / G7@3 |", 5, "does not name a beat"),
        ("| C {3/4} |", 5, "at the start of a bar"),
        ("| {5/7} C |", 3, "not a metre"),
        ("| {0 quarters} C |", 3, "a bar of 0"),
        ("| {walk} C |", 3, "not a metre"),
        ("| C {fermata@5} |", 5, "a fermata on beat 5"),
        ("| C {fermata@x} |", 5, "a fermata on beat x"),
        ("| (Am) C |", 3, "needs a chord before it"),
        ("| C | % (Am) |", 9, "needs a chord before it"),
        ("| C (Am Dm) |", 5, "'\\(Am' is not an alternate"),
        ("| C (N.C.) |", 5, "N.C. cannot be an alternate"),
        ("| <C |", 3, "across the start of a section"),
        ("| C :| <D |", 8, "across the start of a section"),
        ("| C | [1 D :| [2 <E |", 18, "across the start of a section"),
        ("| C F@4.5 | <G |", 13, "the bar before has no time"),
        ("| C G7@1.5 <F@2 |", 12, "leaves no time for the push"),
        ("| C {D.C.} {D.S.} |", 12, "two jumps"),
    ],
)
def test_faults_have_their_column(text, column, message):
    with pytest.raises(TuneError, match=message) as caught:
        read(text)
    assert caught.value.place.column == column


def test_an_unknown_chord_is_marked_at_the_letter_that_does_not_fit():
    with pytest.raises(HarmonyError) as caught:
        read("| C | Ggx7 |")
    assert caught.value.place.column in (7, 8, 9)
    assert "Ggx7" in str(caught.value)


def test_a_symbol_that_schools_read_otherwise_is_a_doubt():
    _, doubts = read_changes("| Cdim | Cdim |", (4, 4), lambda index: Place())
    assert len(doubts) == 1
    assert doubts[0].startswith("Cdim: ")


def test_there_is_an_end():
    with pytest.raises(TuneError, match="more than"):
        read("| C " * (MOST_BARS + 1))


@pytest.mark.parametrize("text", ["4", "4/5", "0/4", "33/4", "4/64", "a/b", "", "4/4/4"])
def test_what_is_no_metre_is_refused(text):
    with pytest.raises(TuneError, match="not a metre"):
        read_meter(text)
