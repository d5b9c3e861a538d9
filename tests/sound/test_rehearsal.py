"""A line of practice: read, written again, refused; and which bars it leaves to a class."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.sound.rehearsal import PARTS, Rehearsal
from harmonykit.sound.turns import turns_of

# What is typed, and what it means, by hand.
READ = {
    "": {},
    "whole tune": {},
    "bars 9-10": {"bars": (9, 10)},
    "Bars 9–10": {"bars": (9, 10)},
    "bar 3": {"bars": (3, 3)},
    "hard change": {"hard": 1},
    "hard change 2": {"hard": 2},
    "hard change 2 4 bars": {"hard": 2, "loop": 4},
    "hard change 4 bars": {"hard": 1, "loop": 4},
    "tempi 60-100": {"tempi": (60, 70, 80, 90, 100)},
    "tempi 65-90": {"tempi": (65, 75, 85, 90)},
    "tempi 50 100": {"tempi": (50, 100)},
    "tempo 70 %": {"tempi": (70,)},
    "tempi 100-80": {"tempi": (100, 90, 80)},
    "count-in 2, times 3": {"count_in": 2, "times": 3},
    "without bass and strum": {"parts": ("percussion", "click")},
    "intro, tempo 90": {"intro": -1, "tempi": (90,)},
    "intro 4 bars": {"intro": 4},
    "with melody, without click": {"parts": ("strum", "bass", "percussion", "melody")},
    "click on 2 and 4": {"beats": (2, 4)},
    "click 2+4, call and answer": {"beats": (2, 4), "left": "call and answer"},
    "disappearing, names": {"left": "disappearing", "names": "always"},
    "names once": {"names": "once"},
    "leading tones, tempo 80": {"sing": True, "tempi": (80,)},
}


@pytest.mark.parametrize("line", READ)
def test_a_line_is_read(line: str) -> None:
    assert Rehearsal.parse(line) == Rehearsal(**READ[line])  # type: ignore[arg-type]


ENDS = st.tuples(st.integers(1, 99), st.integers(1, 99)).map(lambda two: (min(two), max(two)))
TEMPI = st.lists(st.integers(30, 150), min_size=1, max_size=6).map(tuple)
PLACES = st.one_of(
    st.fixed_dictionaries({"bars": st.one_of(st.none(), ENDS)}),
    st.fixed_dictionaries({"hard": st.integers(1, 9), "loop": st.sampled_from([2, 4])}),
)
REST = st.fixed_dictionaries(
    {
        "tempi": TEMPI,
        "times": st.integers(0, 20),
        "count_in": st.integers(0, 2),
        "parts": st.sets(st.sampled_from(PARTS)).map(
            lambda own: tuple(part for part in PARTS if part in own)
        ),
        "beats": st.sampled_from([(), (2, 4), (1,), (2, 3)]),
        "left": st.sampled_from(["", "call and answer", "disappearing"]),
        "names": st.sampled_from(["", "once", "always"]),
    }
)


@given(PLACES, REST)
def test_what_is_written_is_read_again(place: dict[str, object], rest: dict[str, object]) -> None:
    how = Rehearsal(**place, **rest)  # type: ignore[arg-type]
    assert Rehearsal.parse(how.words) == how


@pytest.mark.parametrize(
    "line, said",
    [
        ("bras 3-4", "bars"),
        ("bars 4-3", "bars 9-10"),
        ("bars", "bars 9-10"),
        ("tempi 10-100", "30 to 150"),
        ("without bas", "bass"),
        ("with", "with bass"),
        ("bars 1-2, bars 3-4", "said twice"),
        ("bars 1-2, hard change", "one of the two"),
        ("hard change 3 bars", "2 or 4 bars"),
        ("call and answer twice", "no more"),
        ("leading tones, bars 3-4", "one of the two"),
        ("names never", "names once"),
        ("click two", "numbers"),
        ("count-in 3", "1 to 2"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_to_type(line: str, said: str) -> None:
    with pytest.raises(HarmonyError) as refused:
        Rehearsal.parse(line)
    assert said in str(refused.value)


def left(line: str, bars: int) -> list[int]:
    """Return which bars, counted from 1 through all times, are left to the class."""
    turns = turns_of(Rehearsal.parse(line), range(bars), range(bars), -1, loop=True)
    return [place for place, turn in enumerate(turns, 1) if turn.left]


def test_two_bars_are_called_and_two_are_answered() -> None:
    assert left("call and answer", 8) == [3, 4, 7, 8]
    # Of a loop of two bars every other time is the class's.
    assert left("call and answer, times 3", 2) == [3, 4]
    assert left("call and answer", 2) == [3, 4, 7, 8]


def test_a_track_disappears_two_bars_in_eight_then_four() -> None:
    two, four = [7, 8, 15, 16], [21, 22, 23, 24, 29, 30, 31, 32]
    assert left("disappearing", 32) == two + four
    # Shorter tunes and loops go round until four have disappeared twice.
    for bars in (2, 4, 8, 16):
        assert left("disappearing", bars) == two + four
    # Twelve bars three times: the last eight of them are not whole.
    assert left("disappearing", 12) == two + four


def test_each_tempo_has_its_times() -> None:
    turns = turns_of(Rehearsal.parse("tempi 50 100, times 2"), range(3), range(3), -1, loop=True)
    assert [turn.tempo for turn in turns] == [50] * 6 + [100] * 6
    assert [turn.time for turn in turns] == [0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3]
    # Short loops are played four times at each, where nothing is said; a whole tune once.
    assert (
        len(turns_of(Rehearsal.parse("tempi 60-100"), range(2), range(2), -1, loop=True))
        == 5 * 4 * 2
    )
    assert (
        len(turns_of(Rehearsal.parse("tempi 60-100"), range(12), range(12), -1, loop=False))
        == 5 * 12
    )


def test_names_are_told_once_or_always() -> None:
    for line, told in (("names once", [0]), ("names", [0, 1, 2, 3]), ("", [])):
        turns = turns_of(Rehearsal.parse(line), [0, 1], [0, 1], -1, loop=True)
        assert sorted({turn.time for turn in turns if turn.named}) == told


def test_a_pickup_does_not_count_as_a_bar() -> None:
    turns = turns_of(Rehearsal.parse("call and answer, times 2"), range(5), range(5), 0, loop=True)
    assert [(turn.bar, turn.left) for turn in turns[:6]] == [
        (0, False), (1, False), (2, False), (3, True), (4, True), (0, False),
    ]  # fmt: skip
