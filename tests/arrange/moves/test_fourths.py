"""Stacked fourths over a chord that stays: where they may stand, and what the grip does."""

from __future__ import annotations

from itertools import pairwise

import pytest
from small_tunes import insertions, tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.moves import MOVES, Setting, move_named
from harmonykit.arrange.moves.rule import Refused
from harmonykit.arrange.offering import offers
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.slots import bars_that_stay, phrasing, slots_of
from harmonykit.arrange.wishes import Wishes
from harmonykit.lesson.plan.keys import TEXTURES
from harmonykit.tune.tune import Tune

MOVE = "stacked fourths"
VAMP = "| Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 |"


def asked(tune: Tune, **more: float) -> dict[str, object]:
    """Return what the move knows of a tune."""
    ends, seconds, places = phrasing(tune)
    stays = bars_that_stay(slots_of(tune))
    return {"rests": ends, "seconds": seconds, "places": places, "stays": stays, **more}


def test_the_step_comes_at_the_second_bar_line_then_before_it() -> None:
    tune = tune_of(VAMP + " Gm7 | C7 | F |", key="Dm")
    first, second = insertions(MOVE, tune, **asked(tune))[:2]
    assert first == [("Dm11", 0, 4), ("Em11", 4, 2), ("Dm11", 6, 2)]
    assert second == [("Dm11", 8, 2), ("Em11", 10, 2), ("Dm11", 12, 4)]


def test_in_three_the_step_comes_on_the_last_beat_and_the_last_chord_is_held() -> None:
    tune = tune_of("| C7sus4 | C7sus4 | C7sus4 | C7sus4 |", key="F", meter="3/4")
    first, last = insertions(MOVE, tune, **asked(tune))
    assert first == [("C7sus4", 0, 3), ("D7sus4", 3, 2), ("C7sus4", 5, 1)]
    assert last == [("C7sus4", 6, 3), ("C7sus4", 9, 3)]


@pytest.mark.parametrize(
    ("changes", "key", "melody", "more", "rule"),
    [
        ("| G7 | G7 | C | C |", "C", "", {}, "G7 is neither minor nor suspended"),
        ("| Dm7 | G7 | Dm7 | G7 |", "C", "", {}, "a chord must last two bars"),
        ("| Dm7 | Dm7 | G7 | C |", "C", "", {}, "not lead to its dominant as a ii"),
        ("| G7sus4 | G7sus4 | G7 | C |", "C", "", {}, "not lead to its dominant"),
        ("| Em7 | Em7 | Em7 | Em7 |", "C", "", {}, "C major has no whole step above E"),
        (
            "| Dm7 | Dm7 | Dm7 | Dm7 |", "C", "| A4:2 G#4:2 | A4:4 | A4:4 | A4:4 |", {},
            " is a semitone from G of Dm11",
        ),
        ("| Dm7 | Dm7 | Dm7 | Dm7 |", "C", "", {"tempo": 300}, "a chord must last at least"),
    ],
)  # fmt: skip
def test_each_rule(changes: str, key: str, melody: str, more: dict[str, float], rule: str) -> None:
    tune = tune_of(changes, key=key, melody=melody)
    setting = Setting(tune.key, tune.melody, **asked(tune, **more))  # type: ignore[arg-type]
    found = [*move_named(MOVE).offer(slots_of(tune)[0], setting)]
    assert [rule in one.rule for one in found if isinstance(one, Refused)] == [True]


def test_where_the_melody_would_rub_with_the_step_the_grip_is_held() -> None:
    """F over the E of E A D G; over D G C F it is the third."""
    tune = tune_of("| Dm7 | Dm7 | Am7 |", melody="| A4:4 | F4:4 | E4:4 |")
    (held,) = insertions(MOVE, tune, **asked(tune))
    assert held == [("Dm11", 0, 4), ("Dm11", 4, 4)]


def played(tune: Tune, instrument: str) -> Arrangement:
    return reharmonise(tune, instrument, (), 1, wishes=Wishes(texture="fourths"))[0]


@pytest.mark.parametrize(
    "instrument", ["guitar", "ukulele", "ukulele low g", "baritone ukulele", "mandolin"]
)
def test_the_grip_is_carried_along_and_the_top_line_comes_back(instrument: str) -> None:
    way = played(tune_of(VAMP + " Gm7 | Gm7 | Gm7 | Gm7 |", key="Dm"), instrument)
    steps = [*way.steps]
    assert {step.move for step in steps} == {MOVE}
    for before, after in pairwise(steps):
        if before.written == after.written:
            assert before.voicing is not None and after.voicing is not None
            moved = {b - a for a, b in pairwise_frets(before.voicing, after.voicing)}
            assert len(moved) == 1 and moved <= {-2, 0, 2}
    tops = [max(step.sounds) for step in steps if str(step.written) == "Dm7"]
    assert tops[0] == tops[-1] and {*tops} == {tops[0], tops[0] + 2}
    for step in steps:
        home = step.written is not None and step.chord is not None
        assert home and step.reason.count(".") == 1
        if step.chord and step.written and step.chord.root == step.written.root:
            third = (step.chord.root.pitch_class + 3) % 12
            assert third in {pitch % 12 for pitch in step.sounds}


def pairwise_frets(before: object, after: object) -> list[tuple[int, int]]:
    frets = zip(before.frets, after.frets, strict=True)  # type: ignore[attr-defined]
    return [(a, b) for a, b in frets if a is not None and b is not None]


def test_other_chords_are_played_as_a_guitarist_plays_them() -> None:
    """Common practice, no source."""
    way = played(tune_of("| Dm7 | Dm7 | Gm7 | C7 | F | F |", key="F"), "guitar")
    shapes = {
        step.chord.symbol: step.voicing.digits for step in way.steps if step.voicing and step.chord
    }
    assert shapes["Gm7"] in ("3-5-3-3-3-3", "3-x-3-3-3-x", "3-5-5-3-6-3")


def test_they_are_offered_where_a_chord_stays_and_nowhere_else() -> None:
    on_a_vamp = {offer.name: offer for offer in offers(tune_of(VAMP, key="Dm"), "guitar")}
    assert "in fourths" in str(on_a_vamp["fourths"].arrangement.added[1].reason)
    none = offers(tune_of("| Dm7 | G7 | Cmaj7 | Cmaj7 |"), "guitar", ["plain", "fourths"])
    assert [offer.name for offer in none] == ["plain"]
    # Where words matter nothing is added, and a lesson's level may name the texture.
    assert MOVE not in MOVES and "fourths" in TEXTURES
