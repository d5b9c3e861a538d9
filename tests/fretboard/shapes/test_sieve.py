"""What is asked of a shape beyond its tones."""

from __future__ import annotations

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.sieve import ALL_TONES, Sieve, muted_strings, sieve_for
from harmonykit.theory.chord import Chord

# Frets of six strings: all, the lowest muted, one between muted, both, the outermost two left.
SIX: dict[str, Fretting] = {
    "none": (3, 2, 0, 0, 0, 3),
    "outer": (None, 3, 2, 0, 1, 0),
    "inner": (3, None, 0, 0, 0, 3),
    "both": (5, None, 5, 5, 5, None),
}


@pytest.mark.parametrize(
    ("asked", "passing"),
    [("any", set(SIX)), ("outer", {"none", "outer"}), ("inner", {"none", "inner"})],
)
def test_muted_strings_lie_where_they_may(asked: str, passing: set[str]) -> None:
    sieve = Sieve(muted=asked)
    sounding = (40, 45, 50)
    assert {name for name, frets in SIX.items() if sieve.passes(frets, sounding)} == passing


# G4 C4 E4 C5: the C sounds twice.
@pytest.mark.parametrize(("twice", "passes"), [(ALL_TONES, True), (0b1, True), (0b10000, False)])
def test_a_tone_sounds_twice_where_it_may(twice: int, passes: bool) -> None:
    assert Sieve(twice=twice).passes((0, 0, 0, 3), (67, 60, 64, 72)) is passes


def test_a_layout_is_asked_for_by_name() -> None:
    frets, drop_2 = (None, None, 3, 5, 5, 5), (53, 60, 64, 69)
    assert Sieve(layout="drop 2").passes(frets, drop_2)
    assert not Sieve(layout="close").passes(frets, drop_2)


def test_what_is_asked_in_words_becomes_a_sieve() -> None:
    chord = Chord.parse("C")
    assert sieve_for(chord).lets_all_through and sieve_for(chord).muted == "none"
    assert sieve_for(chord, mutes=True).lets_all_through
    assert sieve_for(
        chord, mutes="outer", bass="E", top="C5", doubling=("1", "5"), layout="close"
    ) == Sieve(low=4, high=72, foreign=False, muted="outer", twice=0b10000001, layout="close")
    assert sieve_for(chord, bass="D").foreign
    assert sieve_for(chord, doubling=False).twice == 0


def test_words_that_say_nothing_are_refused() -> None:
    assert [muted_strings(asked=word) for word in (True, False, "inner")] == [
        "any",
        "none",
        "inner",
    ]
    with pytest.raises(HarmonyError, match="not a known setting for muted strings") as caught:
        muted_strings(asked="some")
    assert "outer" in caught.value.rule
    with pytest.raises(HarmonyError, match="neither left out nor doubled"):
        sieve_for(Chord.parse("C"), doubling=("b7",))
    with pytest.raises(HarmonyError, match="not a known layout"):
        sieve_for(Chord.parse("C"), layout="dropped")
