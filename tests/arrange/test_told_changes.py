"""Each change of an arrangement with its place, chords, shapes, reason, and how often heard."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from harmonykit.arrange.passes import on_paper
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.told_changes import basses_left, told_changes
from harmonykit.arrange.wishes import Wishes
from harmonykit.arrange.written import counted_otherwise
from harmonykit.score.typed import take_in
from harmonykit.tune.tune import Tune


def test_a_change_says_where_what_and_why() -> None:
    way = reharmonise(
        "| C6 | Dm7 |", "ukulele", ["passing diminished"], k=1, wishes=Wishes(density="full")
    )[0]
    (one,) = told_changes(way)
    (step,) = one.steps
    assert one.where == "1@3" and step.voicing is not None
    # C C# D: common practice, no source.
    assert one.said == f"C♯°7 {step.voicing.digits} for C6"
    assert "half step" in one.reason and one.often.startswith("C6 – C♯°7 – Dm7 heard ")
    assert str(one).startswith(f"1@3  C♯°7 {step.voicing.digits} for C6. ")


def test_beats_are_those_of_the_metre() -> None:
    # 6/8 has two beats; the second half of a bar is the second of them.
    tune = Tune.parse("| C6 | Dm7 |", meter="6/8")
    way = reharmonise(tune, "ukulele", ["passing diminished"], k=1, wishes=Wishes(density="full"))[
        0
    ]
    assert [one.where for one in told_changes(way)] == ["1@2"]


def test_what_is_played_again_is_told_once_with_its_printed_bar() -> None:
    way = reharmonise(
        "|: C6 | Dm7 :|", "ukulele", ["passing diminished"], k=1, wishes=Wishes(density="full")
    )[0]
    told = [one for one in told_changes(way) if str(one.steps[0].chord) == "C#dim7"]
    assert {place for one in told for place in one.places} == {(1, Fraction(3))}


def test_a_bar_that_is_changed_once_says_which_time() -> None:
    way = reharmonise(
        "|: C6 | Dm7 :|", "ukulele", ["passing diminished"], k=1, wishes=Wishes(density="full")
    )[0]
    second = [step for step in way.added if step.bar == 2]
    first = way.steps[: way.steps.index(second[0])]
    written = [replace(step, move="", reason="") for step in first]
    way = replace(way, steps=(*written, *way.steps[len(first) :]))
    assert "1@3 (time 2)" in [one.where for one in told_changes(way)]


@pytest.mark.parametrize("move", ["ascending walk", "rootless dominant", "leading-tone diminished"])
def test_every_added_chord_is_told_at_its_place(move: str) -> None:
    way = reharmonise("heron_landing", "ukulele", [move], k=1, wishes=Wishes(density="full"))[0]
    told = {
        (bar, step.chord)
        for one in told_changes(way)
        for bar, _ in one.places
        for step in one.steps
    }
    numbers = [played.bar.number for played in way.tune.playing]
    assert told == {(numbers[step.bar], step.chord) for step in way.added} and told


def test_a_bass_that_is_not_the_lowest_note_is_told_and_one_that_is_not() -> None:
    """Over E a mandolin has C from fret 5 on alone: it is played over the open G or its A."""
    plain = reharmonise("| C | C/E | F |", "mandolin", (), k=1)[0]
    assert basses_left(plain).endswith(": C/E (bar 2).")
    assert not basses_left(reharmonise("| G | G/B | C |", "mandolin", (), k=1)[0])
    assert not basses_left(reharmonise("| C | C/G | F |", "guitar", (), k=1)[0])


@pytest.mark.parametrize(
    ("text", "instrument", "shapes"),
    [
        # B on fret 4 of G, B flat on fret 3, C on fret 5; the root below the chord beside it.
        ("| G | G/B | C |", "mandolin", ["0-0-2-3", "4-0-2-3"]),
        ("| Gm | Gm/Bb | Cm |", "mandolin", ["0-0-1-3", "3-0-1-3"]),
        ("| F | Gm/Bb | C |", "ukulele low g", ["2-0-1-0", "3-2-3-1"]),
        # Nothing is near over E; on strings that do not rise there is no lowest voice.
        ("| C | C/E | F |", "ukulele low g", ["0-0-0-3", "0-0-0-3"]),
        ("| C | C/E | F |", "ukulele", ["0-0-0-3", "0-0-0-3"]),
    ],
)
def test_a_slash_chord_has_its_bass_below_where_that_lies_near(
    text: str, instrument: str, shapes: list[str]
) -> None:
    """Frets counted by hand on G D A E and G C E A (common practice, no source)."""
    way = reharmonise(text, instrument, (), k=1)[0]
    assert [step.voicing.digits for step in way.steps[:2] if step.voicing] == shapes


def test_over_a_bass_player_any_note_of_a_slash_chord_may_be_the_lowest() -> None:
    wishes = Wishes(bass_player=True)
    way = reharmonise("| G | G/B | C |", "mandolin", (), k=1, wishes=wishes)[0]
    assert way.steps[0].voicing == way.steps[1].voicing


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # By counting: A A B, all written out, has B's first bar, the tune's third, as the fifth.
        ("A: | C6 | F6 |\nB: | G7 | C6 |\nForm: AAB", "bar 5 there is bar 3 of the tune"),
        ("A: | C6 | F6 |\nB: | G7 | C6 |\nForm: AB", ""),
        ("|: C6 | F6 :|", ""),
    ],
)
def test_bars_that_a_score_counts_otherwise_are_told(text: str, said: str) -> None:
    way = reharmonise(take_in(text).tune, "ukulele", (), k=1)[0]
    assert counted_otherwise(on_paper(way)[0]).endswith(said)
    assert bool(counted_otherwise(on_paper(way)[0])) == bool(said)
