"""A melody as frets on the strings: every fret sounds its note, and the hand stays low.

On g C E A the open strings are MIDI 67, 60, 64, 69; on E A D G B E 40, 45, 50, 55, 59, 64.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_arrangements import played_plainly

from harmonykit.lesson.handout.tab import tab_of
from harmonykit.tune.tune import Tune

NAMES = "C C# D D# E F F# G G# A A# B".split()
OPEN = {"ukulele": (67, 60, 64, 69), "guitar": (40, 45, 50, 55, 59, 64)}
# A string above its neighbour breaks the line.
LINE = {"ukulele": (1, 2, 3), "guitar": (0, 1, 2, 3, 4, 5)}


def named(midi: int) -> str:
    return f"{NAMES[midi % 12]}{midi // 12 - 1}"


def tune_of(melody: str, changes: str = "| C | C |") -> Tune:
    return Tune.parse(
        'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "4/4"\n[[sections]]\nname = "A"\n'
        f'changes = "{changes}"\nmelody = "{melody}"\n'
    )


def tab(tune: Tune, instrument: str = "ukulele") -> dict[int, list[tuple[Fraction, int, int]]]:
    digits = "0003" if instrument == "ukulele" else "x32010"
    return tab_of(played_plainly(tune, digits, instrument))


def test_each_note_at_its_lowest_fret() -> None:
    """C4 open, D4 and E4 on strings C and E, G4 at fret 3 of E (not on g), A4 open, C5 at 3."""
    found = tab(tune_of("| C4 D4 E4 G4 | A4:2 C5:2 |"))
    assert found == {
        0: [(0, 1, 0), (1, 1, 2), (2, 2, 0), (3, 2, 3)],
        1: [(0, 3, 0), (2, 3, 3)],
    }


def test_a_note_that_a_tie_carries_on_is_written_once() -> None:
    found = tab(tune_of("| C4:2 E4:2~ | E4:2 G4:2 |"))
    assert found == {0: [(0, 1, 0), (2, 2, 0)], 1: [(2, 2, 3)]}
    within = tab(tune_of("| C4:1 E4:1~ E4:2 | C4:4~ |", "| C | C |"))
    assert within == {0: [(0, 1, 0), (1, 2, 0)], 1: [(0, 1, 0)]}


def test_without_a_melody_there_is_none() -> None:
    tune = Tune.parse("| C | F |")
    assert tab_of(played_plainly(tune)) == {}


@given(st.lists(st.integers(36, 96), min_size=1, max_size=8), st.sampled_from(sorted(OPEN)))
def test_all_sound_as_written_or_all_as_many_octaves_off(pitches: list[int], neck: str) -> None:
    words = " ".join(named(pitch) for pitch in pitches)
    length = len(pitches)
    tune = Tune.parse(
        f'format = 1\ntitle = "Slip"\nkey = "C"\nmeter = "{length}/4"\n[[sections]]\nname = "A"\n'
        f'changes = "| C |"\nmelody = "| {words} |"\n'
    )
    found = tab(tune, neck)

    def fits(octaves: int, highest: int) -> bool:
        low, high = (36, 0)
        for pitch in pitches:
            frets = [pitch + 12 * octaves - OPEN[neck][s] for s in LINE[neck]]
            frets = [fret for fret in frets if 0 <= fret <= highest]
            if not frets:
                return False
            low, high = min(low, min(frets)), max(high, min(frets))
        return True

    choice = next(
        ((most, up) for most in (7, 12) for up in (0, 1, -1, 2, -2) if fits(up, most)), None
    )
    if choice is None:
        assert found == {}
        return
    most, up = choice
    assert [at for at, _, _ in found[0]] == [*range(length)]
    for pitch, (_, string, fret) in zip(pitches, found[0], strict=True):
        assert OPEN[neck][string] + fret == pitch + 12 * up
        assert string in LINE[neck] and 0 <= fret <= most
        # No other string has it lower.
        others = [pitch + 12 * up - OPEN[neck][s] for s in LINE[neck]]
        assert fret == min(each for each in others if each >= 0)


@pytest.mark.parametrize(("melody", "frets"), [("| C3 E3 G3 C4 |", [0, 0, 3, 3])])
def test_what_lies_too_low_is_an_octave_higher(melody: str, frets: list[int]) -> None:
    found = tab(tune_of(melody, "| C |"))
    assert [fret for _, _, fret in found[0]] == frets
