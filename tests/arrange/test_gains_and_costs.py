"""What is offered at each density: laws of a front, and the numbers against the measures."""

from __future__ import annotations

import pytest
from plotted import TUNES, weighed

from harmonykit.arrange.measures import measure


@pytest.mark.parametrize("tune", TUNES)
def test_the_front_is_what_nobody_beats_and_is_filled(tune: str) -> None:
    found = weighed(tune)
    assert found[0].name == "plain" and found[0].added == 0
    assert len({each.name for each in found}) == len(found)
    named = {each.name: each for each in found}
    for each in found:
        numbers = (-each.added, each.difficulty, each.movement)
        beats = [
            other
            for other in found
            if all(
                a <= b
                for a, b in zip(
                    (-other.added, other.difficulty, other.movement), numbers, strict=True
                )
            )
            and (-other.added, other.difficulty, other.movement) != numbers
        ]
        assert bool(each.beaten_by) == bool(beats)
        assert not each.beaten_by or named[each.beaten_by] in beats
        way, bars = each.arrangement, each.arrangement.tune.bar_count
        row = measure(way)
        assert way.name == each.name
        assert each.added == pytest.approx(8 * row.added / bars, abs=0.0501)
        assert each.movement == pytest.approx(row.semitones / bars, abs=0.0501)
        assert each.difficulty == pytest.approx(row.playability, abs=0.0501)
    # Each style rises from few to all.
    for style in {each.style for each in found}:
        steps = [each.added for each in found if each.style == style]
        assert steps == sorted(set(steps))
    # Between the tune as written and the most colour the front has something.
    front = [each.added for each in found if not each.beaten_by]
    assert any(0 < added < max(front) for added in front)
