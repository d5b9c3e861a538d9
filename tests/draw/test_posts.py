"""A tuning as posts."""

from __future__ import annotations

import pytest

from harmonykit.draw.posts import draw_tuning
from harmonykit.draw.tree import Path
from harmonykit.fretboard.strings.instrument import Instrument


def tops(name: str) -> list[float]:
    """Return how high each post ends, in mm from the top of the figure."""
    paths = draw_tuning(Instrument.named(name)).sheet.all(Path)
    return [path.ends[1][1] for path in paths[:-1]]


def test_a_post_is_as_high_as_its_string_sounds() -> None:
    # G4 67, C4 60, E4 64, A4 69.
    g, c, e, a = tops("ukulele")
    assert a < g < e < c
    assert (
        (c - g) / 7 == pytest.approx((c - e) / 4, abs=1e-3) == pytest.approx((c - a) / 9, abs=1e-3)
    )


@pytest.mark.parametrize("name", ["ukulele", "ukulele low g", "baritone ukulele", "guitar"])
def test_every_tuning_keeps_within_its_height(name: str) -> None:
    found = tops(name)
    assert len(found) == len(Instrument.named(name).strings)
    assert min(found) > 3
    assert draw_tuning(Instrument.named(name)).height_mm == pytest.approx(14.7)


def test_the_lowest_string_is_said() -> None:
    assert draw_tuning(Instrument.named("guitar")).alt.endswith("the low E string is the lowest")


def test_a_left_handed_tuning_is_the_mirror_image() -> None:
    """The order of a mirrored box's strings: A, E, C and g from left to right (by hand)."""
    mirrored = draw_tuning(Instrument.named("ukulele"), left_handed=True)
    assert "A, E, C and G; the C string is the lowest" in mirrored.alt
    assert mirrored.sheet.texts == ("A", "E", "C", "g")
    strung = Instrument.named("ukulele").for_left_hand()
    assert draw_tuning(strung).svg == mirrored.svg
