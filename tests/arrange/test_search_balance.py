"""No idiom all the time, nothing three times in a row at one place: in every style."""

from __future__ import annotations

from collections import Counter

import pytest
from small_tunes import tune_of

from harmonykit.arrange.arrangement import ORNAMENTS, is_foreign
from harmonykit.arrange.line_figures import line
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.styles import STYLES
from harmonykit.arrange.wishes import Wishes

RHYTHM = "|: Bb6 G7 | Cm7 F7 | Bb6 G7 | Cm7 F7 | Bb6 Bb7 | Eb6 Ebm6 | Bb6 F7 | Bb6 :|"
TUNES = {
    "Bb": RHYTHM + " D7 | D7 | G7 | G7 | C7 | C7 | F7 | F7 | Bb6 |",
    "F": "| F7 | Bb7 | F7 | F7 | Bb7 | Bb7 | F7 | D7 | Gm7 | C7 | F7 D7 | Gm7 C7 |",
}


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("key", TUNES)
def test_at_most_a_quarter_by_one_idiom_and_none_a_third_time(style: str, key: str) -> None:
    tune = tune_of(TUNES[key], key=key)
    moves = moves_of(style) if STYLES[style].moves else tuple(MOVES)
    (way,) = reharmonise(tune, "ukulele", moves, 1, style=style)
    assert line(way).thrice == 0
    own = [step for step in way.added if is_foreign(step.chord, step.written)]
    counts = Counter(step.move for step in own if step.move not in ORNAMENTS)
    # A bar that comes again is one place, so that two passes are played alike.
    assert max(counts.values(), default=0) <= max(4, sum(counts.values()) / 4 + 1)


def test_no_idiom_stands_again_at_the_same_place_of_the_next_phrase() -> None:
    """Four phrases alike but for their key: an idiom in each would be a pattern (no source)."""
    rows = ("Dm7 G7 C6 C6", "Ebm7 Ab7 Db6 Db6", "Em7 A7 D6 D6", "Fm7 Bb7 Eb6 Eb6")
    changes = "| " + " | ".join(name for row in rows for name in row.split()) + " |"
    name = "tritone substitution in a cadence"
    (way,) = reharmonise(tune_of(changes), "ukulele", [name, "backdoor ii–V"], 1, style="rich")
    for move in way.moves:
        bars = {step.bar for step in way.added if step.move == move}
        assert not any(bar + 4 in bars for bar in bars)


def test_a_tune_begins_with_its_own_chord() -> None:
    """Common practice, no source: also where all that follows is replaced."""
    changes = "| Dm7 | G7 | C6 | C6 | Dm7 | G7 | C6 | C6 |"
    (way,) = reharmonise(tune_of(changes), "ukulele", ["backdoor ii–V"], 1, style="rich")
    added = {step.bar: str(step.chord) for step in way.added}
    assert added == {4: "Fm7", 5: "Bb7"}


def test_without_a_bass_another_name_adds_nothing() -> None:
    """Gm7 in place of B flat 6 has the same four notes; over a bass it is a deceptive cadence."""
    tune = tune_of("| Bb6 | Cm7 | F7 | Bb6 | Eb6 | F7 | Eb6 | Bb6 |", key="Bb")
    for instrument, heard in (("ukulele", False), ("guitar", True)):
        (way,) = reharmonise(
            tune, instrument, ["deceptive cadence"], 1, wishes=Wishes(prefer="deceptive cadence")
        )
        assert any(str(step.chord) == "Gm7" for step in way.steps) is heard
        told = {refusal.rule for refusal in way.refusals}
        assert ("Gm7 has the same notes as the chord as written" in told) is not heard
