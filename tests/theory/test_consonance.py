"""Roughness in register, against the published curve of intervals."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.theory.consonance import roughness

# Ratios at which harmonic partials over 500 Hz are least dissonant (Sethares 1993).
CONSONANT = (7 / 6, 6 / 5, 5 / 4, 4 / 3, 7 / 5, 3 / 2, 5 / 3, 7 / 4, 2)
BASE = 69 + 12 * math.log2(500 / 440)


def above(ratio: float) -> float:
    return roughness([BASE, BASE + 12 * math.log2(ratio)])


def test_the_published_minima_are_minima() -> None:
    for ratio in CONSONANT:
        assert above(ratio) < min(above(ratio * 0.992), above(ratio * 1.008)), ratio


def test_there_are_hardly_any_other_minima() -> None:
    """Sethares 1993: minima lie where partials of the two notes coincide."""
    cents = range(100, 1200, 2)
    curve = [roughness([BASE, BASE + cent / 100]) for cent in cents]
    rows = zip(cents, pairwise(curve), pairwise(curve[1:]), strict=False)
    found = [cent + 2 for cent, (a, b), (_, c) in rows if b < a and b < c]
    ratios = {n / m for n in range(1, 8) for m in range(1, 8) if m < n < 2 * m}
    for cent in found:
        nearest = min(ratios, key=lambda ratio: abs(1200 * math.log2(ratio) - cent))
        assert abs(1200 * math.log2(nearest) - cent) < 12


def test_two_pure_partials_are_roughest_a_quarter_of_a_critical_band_apart() -> None:
    """Plomp & Levelt 1965: at 500 Hz the band is about 100 Hz wide; a semitone is 30 Hz."""
    worst = max(range(1, 1200), key=lambda cent: above(2 ** (cent / 1200)))
    assert 40 < worst < 120


def test_low_and_close_is_rough() -> None:
    for interval in (3, 4, 5, 7):
        assert roughness([36, 36 + interval]) > roughness([72, 72 + interval])
    assert roughness([48, 52, 55, 58]) > roughness([48, 58, 64, 67])


def test_more_notes_are_rougher_and_order_is_nothing() -> None:
    assert roughness([60, 64, 67]) == pytest.approx(roughness([67, 60, 64]))
    assert roughness([60, 64, 67]) > roughness([60, 64]) > roughness([60]) > 0


@pytest.mark.parametrize("wrong", [[], [200], ["C"], "C7", None])
def test_what_is_not_a_pitch_is_refused(wrong: object) -> None:
    with pytest.raises(HarmonyError):
        roughness(wrong)  # type: ignore[arg-type]
