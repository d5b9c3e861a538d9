"""Strokes by metre, and swing: common practice, no source (theory, "Defaults by level")."""

from __future__ import annotations

from fractions import Fraction

import pytest

from harmonykit.sound.strums import strokes, swing_ratio, swung
from harmonykit.tune.bar import Meter, bar_length

PATTERNS = {
    (4, 4): "D0 D1 D2 D3",
    (3, 4): "D0 D1 U3/2 D2 U5/2",
    (6, 8): "D0 U1 D3/2 U5/2",
    (12, 8): "D0 U1 D3/2 U5/2 D3 U4 D9/2 U11/2",
    (5, 4): "D0 D1 U3/2 D2 D3 D4 U9/2",
    (2, 4): "D0 D1",
    (2, 2): "D0 D2",
    (7, 4): "D0 D1 D2 D3 D4 D5 D6",
}


@pytest.mark.parametrize(("meter", "pattern"), PATTERNS.items())
def test_each_metre_has_its_strokes(meter: Meter, pattern: str) -> None:
    assert " ".join(f"{'D' if s.down else 'U'}{s.at}" for s in strokes(meter)) == pattern


def test_in_four_the_accents_are_on_two_and_four() -> None:
    assert [s.at for s in strokes((4, 4)) if s.accent] == [1, 3]


@pytest.mark.parametrize("meter", PATTERNS)
def test_the_spread_is_15_to_35_ms_and_an_accent_is_louder(meter: Meter) -> None:
    for stroke in strokes(meter):
        assert 0.015 <= stroke.spread <= 0.035
    loud = {s.velocity for s in strokes(meter) if s.accent}
    soft = {s.velocity for s in strokes(meter) if not s.accent}
    assert min(loud) > max(soft, default=0)


def test_swing_eases_from_two_to_one_to_three_to_two() -> None:
    assert [swing_ratio(t) for t in (40, 120, 160, 200, 400)] == [2, 2, 1.75, 1.5, 1.5]
    for tempo in (60, 160, 200):
        first = swung(Fraction(5, 2), (4, 4), tempo) - 2
        assert first / (1 - first) == pytest.approx(swing_ratio(tempo))


@pytest.mark.parametrize("meter", [(4, 4), (3, 4), (6, 8)])
def test_swing_moves_no_beat_and_keeps_the_order(meter: Meter) -> None:
    places = [Fraction(n, 12) for n in range(int(bar_length(meter) * 12) + 1)]
    sounds = [swung(place, meter, 100) for place in places]
    assert sounds == sorted(sounds) and len(set(sounds)) == len(sounds)
    assert [s for p, s in zip(places, sounds, strict=True) if p.denominator == 1] == list(
        range(int(bar_length(meter)) + 1)
    )
