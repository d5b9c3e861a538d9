"""Swing, and how hard and fast strokes are: common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from harmonykit.sound.strums import Human, ratio_of, spread, swing_ratio, swung, velocity
from harmonykit.tune.bar import bar_length
from harmonykit.tune.groove.shelf import grooves
from harmonykit.tune.groove.strokes import ROLLED, Stroke
from harmonykit.tune.groove.value import Groove


def test_the_spread_is_15_to_35_ms_and_a_roll_can_be_heard_as_one() -> None:
    for down in (True, False):
        assert 0.015 <= spread(Stroke(Fraction(0), down=down)) <= 0.035
    assert spread(Stroke(Fraction(0), how=ROLLED)) > 0.1


def test_an_accent_is_louder_and_a_ghost_softer_than_all_others() -> None:
    plain = [velocity(Stroke(Fraction(0), down=down)) for down in (True, False)]
    loud = velocity(Stroke(Fraction(0), accent=True))
    soft = velocity(Stroke(Fraction(0), ghost=True))
    # No chance that a groove may have makes one of them sound like another.
    most = max(groove.dynamics for groove in grooves().values())
    assert soft + 2 * most < min(plain) and max(plain) + 2 * most < loud + most < 127


def test_swing_eases_from_two_to_one_to_three_to_two() -> None:
    assert [swing_ratio(t) for t in (40, 120, 160, 200, 400)] == [2, 2, 1.75, 1.5, 1.5]
    assert [ratio_of(grooves()[name], 240) for name in ("swing", "shuffle", "bossa")] == [1.5, 2, 1]


@pytest.mark.parametrize("ratio", [1, 1.5, 2, 3])
@pytest.mark.parametrize("meter", [(4, 4), (3, 4), (6, 8), (7, 8)])
def test_swing_moves_no_beat_and_keeps_the_order(meter: tuple[int, int], ratio: float) -> None:
    places = [Fraction(n, 12) for n in range(int(bar_length(meter) * 12) + 1)]
    sounds = [swung(place, meter, ratio) for place in places]
    assert sounds == sorted(sounds) and len(set(sounds)) == len(sounds)
    whole = [s for p, s in zip(places, sounds, strict=True) if p.denominator == 1]
    assert whole == list(range(len(whole)))
    if meter[1] == 4:
        first = swung(Fraction(5, 2), meter, ratio) - 2
        assert first / (1 - first) == pytest.approx(ratio)
    else:
        assert sounds == [float(place) for place in places]


def test_chance_stays_in_its_bounds_and_follows_from_the_seed() -> None:
    groove = replace(Groove.parse("D D D D"), timing=20.0, dynamics=9, seed=5)
    places = [(bar, Fraction(n, 4)) for bar in range(60) for n in range(16)]
    late = [Human(groove, 60, "strings").late(*place) for place in places]
    loud = [Human(groove, 60, "strings").louder(*place) for place in places]
    assert max(map(abs, late)) <= 0.02 and max(map(abs, loud)) <= 9
    # It is used: some stroke comes near each end, and on the whole none is late.
    assert max(late) > 0.012 and min(late) < -0.012 and abs(sum(late) / len(late)) < 0.001
    assert {-9, 0, 9} <= set(loud)
    again = Human(groove, 60, "strings")
    assert [again.late(*place) for place in places] == late
    other = Human(replace(groove, seed=6), 60, "strings")
    assert [other.late(*place) for place in places] != late
    # At a fast tempo the bound is a twentieth of a quarter.
    fast = Human(groove, 300, "strings")
    assert max(abs(fast.late(*place)) for place in places) <= 0.01
    assert not any(Human(groove.exact, 60, "strings").late(*place) for place in places)
