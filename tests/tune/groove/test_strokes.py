"""Strums and bass lines as text: what is read, what is written again, and what is refused."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.tune.groove.places import divisions
from harmonykit.tune.groove.strokes import lows_of, strokes_of
from harmonykit.tune.groove.value import Groove

METERS = [(2, 4), (3, 4), (4, 4), (5, 4), (2, 2), (6, 8), (9, 8), (12, 8), (7, 8)]
SIGNS = ["D", "U", "D!", "U!", "(D)", "(U)", "X", "(X)", "R", "D~", "U~", "-", "."]


def test_the_usual_strum_of_beginners_is_read_by_hand() -> None:
    (bar,) = strokes_of("D - D U - U D U", (4, 4))
    assert [(float(s.at), "D" if s.down else "U") for s in bar] == [
        (0, "D"), (1, "D"), (1.5, "U"), (2.5, "U"), (3, "D"), (3.5, "U"),
    ]  # fmt: skip
    for text in ("D-DU-UDU", "| d - d u - u d u |", "  D  - D U  - U D U"):
        assert strokes_of(text, (4, 4)) == (bar,)


def test_every_sign_means_what_the_list_says() -> None:
    (bar,) = strokes_of("D! (U) X R D~ . D U", (4, 4))
    assert [(s.accent, s.ghost, s.how, s.push) for s in bar] == [
        (True, False, "strummed", False),
        (False, True, "strummed", False),
        (False, False, "muted", False),
        (False, False, "rolled", False),
        (False, False, "strummed", True),
        (False, False, "stopped", False),
        (False, False, "strummed", False),
        (False, False, "strummed", False),
    ]
    (low,) = lows_of("R 5 3 W A R~ . -", (4, 4))
    assert [one.part for one in low] == ["root", "fifth", "third", "walk", "lead", "root", "stop"]
    assert [one.push for one in low] == [False] * 5 + [True, False]


@given(st.data())
def test_what_is_written_is_read_again(data: st.DataObject) -> None:
    meter = data.draw(st.sampled_from(METERS))
    beats = int(bar_length(meter) / beat_length(meter))
    bars = []
    for _ in range(data.draw(st.integers(1, 4))):
        count = beats * data.draw(st.sampled_from(divisions(meter)))
        bars.append(" ".join(data.draw(st.sampled_from(SIGNS)) for _ in range(count)))
    text = " | ".join(["D" + " -" * (beats - 1), *bars[1:]])
    groove = Groove.parse(text, meter)
    assert Groove.parse(groove.strum, meter).bars == groove.bars
    # All lie inside of their bar, evenly: no place is nearer to another than a bar has places.
    assert all(0 <= s.at < bar_length(meter) for bar in groove.bars for s in bar)


@pytest.mark.parametrize(
    ("text", "meter", "column", "said"),
    [
        ("D - D Q", (4, 4), 7, "'Q' is unknown"),
        ("D - D U - U D U U", (4, 4), 1, "9 places in a bar of 4/4"),
        ("D D D D | D D D", (4, 4), 11, "3 places in a bar of 4/4"),
        ("D U D U", (6, 8), 1, "4 places in a bar of 6/8"),
        ("- - - -", (4, 4), None, "without a stroke"),
        ("| |", (4, 4), 1, "0 bars"),
        ("D D|D D|D D|D D|D D", (2, 4), 1, "5 bars"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_column(
    text: str, meter: tuple[int, int], column: int | None, said: str
) -> None:
    with pytest.raises(HarmonyError) as caught:
        strokes_of(text, meter)
    assert said in str(caught.value) and (caught.value.rule or caught.value.mend)
    assert (caught.value.place.column if caught.value.place else None) == column


@pytest.mark.parametrize(
    ("text", "meter", "hand", "count"),
    [
        ("D - D U - U D U", "4/4", "down, down-up, up, down-up",
         "one, two-and, (three)-and, four-and"),
        ("D D D", "3/4", "down, down, down", "one, two, three"),
        ("D - U D - U", "6/8", "down-up, down-up", "one-a, two-a"),
        ("D U - U D - D U", "2/4", "down-up-up, down-down-up", "one-e-a, two-and-a"),
        ("R X . D | - D - -", "4/4", "roll, mute, down; down", "one, two, four; two"),
    ],
)  # fmt: skip
def test_a_strum_in_words(text: str, meter: str, hand: str, count: str) -> None:
    """As teachers count, common practice, no source: one-and, one-and-a, one-e-and-a."""
    groove = Groove.parse(text, meter)
    assert (groove.spoken, groove.counted) == (hand, count)


def test_a_groove_refuses_what_no_hand_does() -> None:
    bar = strokes_of("D D D D", (4, 4))[0]
    for wrong in ((*bar, bar[0]), bar[::-1]):
        with pytest.raises(HarmonyError):
            Groove("own", (4, 4), (wrong,))
    with pytest.raises(HarmonyError):
        Groove("own", (3, 4), (bar,))
    with pytest.raises(HarmonyError):
        Groove("own", (4, 4), (bar,), timing=200.0)
    assert Groove("own", (4, 4), (bar,)).exact.timing == 0 and bar[2].at == Fraction(2)
