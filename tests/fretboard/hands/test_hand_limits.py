"""Limits of the hand, and the settings of the three levels."""

from __future__ import annotations

from typing import Any

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import LEVELS, Limits, as_limits, limits_at
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


# Common practice, no source: top fret 5/5, 7/9, 12/12; stretch 67, 80, 98 mm; barre none, half,
# full; a small hand 20 % less.
@pytest.mark.parametrize(
    ("level", "ukulele", "guitar", "stretch", "small", "barre", "reach"),
    [
        (1, 5, 5, 67, 53.6, "none", 78.4),
        (2, 7, 9, 80, 64, "half", 88),
        (3, 12, 12, 98, 78.4, "full", 98),
    ],
)
def test_levels_are_the_customary_ones(
    level: int, ukulele: int, guitar: int, stretch: float, small: float, barre: str, reach: float
) -> None:
    assert limits_at(level, UKULELE) == Limits(ukulele, stretch, barre, reach_mm=reach)
    assert limits_at(level, GUITAR) == Limits(guitar, stretch, barre, reach_mm=reach)
    smaller = limits_at(level, GUITAR, small_hand=True)
    assert smaller == Limits(guitar, small, barre, reach_mm=round(0.8 * reach, 6))


def test_limits_are_limits_or_none() -> None:
    narrow = Limits(max_fret=5)
    assert as_limits(None, narrow) is narrow and as_limits(narrow, Limits()) is narrow
    with pytest.raises(HarmonyError, match="limits of a hand"):
        as_limits(5, narrow)  # type: ignore[arg-type]


def test_each_level_asks_for_more_than_the_one_before() -> None:
    order = ("none", "half", "full")
    for levels in LEVELS.values():
        parts = [
            (limits.max_fret, limits.stretch_mm, order.index(limits.barre)) for limits in levels
        ]
        assert all(
            a < b
            for low, high in zip(parts, parts[1:], strict=False)
            for a, b in zip(low, high, strict=True)
        )


@pytest.mark.parametrize("level", [0, 4, -1])
def test_there_are_three_levels(level: int) -> None:
    with pytest.raises(HarmonyError, match="levels are 1 to 3"):
        limits_at(level, UKULELE)


@pytest.mark.parametrize(
    ("limits", "what"),
    [
        ((12, 98, "some"), "'some'"),
        ((-1, 98, "full"), "below 0"),
        ((12, -1, "full"), "below 0"),
        ((12, 98, "full", -1), "below 0"),
    ],
)
def test_limits_that_cannot_be_are_refused(limits: tuple[Any, ...], what: str) -> None:
    with pytest.raises(HarmonyError, match=what):
        Limits(*limits)
