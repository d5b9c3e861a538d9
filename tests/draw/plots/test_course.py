"""The map: classical scaling against distances that a plane holds, and against scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_tunes import tune_of

from harmonykit.arrange.search import reharmonise
from harmonykit.draw.plots.course import draw_courses, scale_to_plane
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE = Instrument.named("ukulele")
planes = st.lists(
    st.tuples(st.integers(-20, 20), st.integers(-20, 20)), min_size=2, max_size=8, unique=True
)


@given(planes)
def test_points_of_a_plane_come_back_as_far_apart_as_they_were(
    points: list[tuple[int, int]],
) -> None:
    given_ = [[math.dist(a, b) for b in points] for a in points]
    found, misfit = scale_to_plane(given_)
    drawn = np.hypot(*(found[:, None, :] - found[None, :, :]).transpose(2, 0, 1))
    assert np.allclose(drawn, given_, atol=1e-6) and misfit < 1e-7


def test_the_misfit_of_four_points_all_as_far_apart_is_that_of_a_flat_tetrahedron() -> None:
    """Four points at distance 1 from each other want three dimensions.

    Centred, the squared coordinates of a regular tetrahedron have three equal eigenvalues of 1/2:
    a plane keeps two thirds of the squared distances' sum, whichever plane it is.
    """
    table = [[float(a != b) for b in range(4)] for a in range(4)]
    points, misfit = scale_to_plane(table)
    drawn = np.hypot(*(points[:, None, :] - points[None, :, :]).transpose(2, 0, 1))
    assert (drawn**2).sum() == pytest.approx(2 / 3 * 12)
    assert misfit == pytest.approx(math.sqrt(((drawn - np.array(table)) ** 2).sum() / 12))
    assert misfit > 0.1


def test_the_same_input_gives_the_same_bytes_and_the_misfit_is_printed() -> None:
    tune = tune_of("| Gm6 | Bb7 | Eb6 | D7 |")
    ways = reharmonise(
        tune, UKULELE, ["leading-tone diminished"], k=2, name="leading-tone diminished"
    )
    figure = draw_courses(ways)
    assert figure == draw_courses(ways)
    assert (
        any("misfit of the map" in text for text in figure.sheet.texts) and "misfit" in figure.alt
    )
    assert "arrangement-2" in figure.sheet.ids
    assert any("all voices together" in text for text in figure.sheet.texts)


def test_a_tune_of_one_chord_has_no_map() -> None:
    ways = reharmonise(tune_of("| C6 | C6 |"), UKULELE, (), k=1)
    with pytest.raises(HarmonyError, match="1 chords of 1 arrangements"):
        draw_courses(ways)
