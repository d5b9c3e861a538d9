"""The Fourier transform of sets: published values, and laws over all 4,096 sets."""

from __future__ import annotations

import cmath
import math

import pytest

from harmonykit.theory.sets.fourier import evenness, fourier
from harmonykit.theory.sets.pcset import PcSet

ALL = [PcSet.from_mask(mask) for mask in range(4096)]
DIATONIC = PcSet.of(0, 2, 4, 5, 7, 9, 11)


def test_a_published_example() -> None:
    """Yust 2021, example 10: eight notes, magnitudes (squared there) and phases."""
    found = fourier(PcSet.of(0, 1, 2, 4, 5, 7, 9, 10))
    squares = [round(size**2, 3) for size in found.magnitudes]
    assert squares == [64.0, 0.536, 0.0, 4.0, 4.0, 7.464, 0.0]
    assert found.phases == pytest.approx((0, 1, 0, 3, 4, 11, 0), abs=1e-6)


def test_the_diatonic_set_is_the_extreme_of_fifths() -> None:
    """Amiot 2007: of all sets of seven notes it has the greatest coefficient 5, 2 + sqrt 3."""
    most = max(fourier(one).magnitudes[5] for one in ALL if len(one) == 7)
    assert fourier(DIATONIC).magnitudes[5] == pytest.approx(2 + math.sqrt(3)) == most


def test_it_is_the_sum_as_it_is_defined() -> None:
    for mask in range(0, 4096, 7):
        pcs = PcSet.from_mask(mask)
        sums = [sum(cmath.exp(-2j * math.pi * k * pc / 12) for pc in pcs) for k in range(7)]
        assert fourier(pcs).magnitudes == pytest.approx([abs(each) for each in sums], abs=1e-9)


def test_laws_of_all_sets() -> None:
    """Parseval; the interval vector; the complement has the same but for coefficient 0."""
    for pcs in ALL:
        sizes = fourier(pcs).magnitudes
        whole = sizes[0] ** 2 + 2 * sum(size**2 for size in sizes[1:6]) + sizes[6] ** 2
        assert whole == pytest.approx(12 * len(pcs))
        vector = pcs.interval_vector
        tritones = len(pcs) - 2 * vector[0] + 2 * vector[1] - 2 * vector[2]
        tritones += 2 * vector[3] - 2 * vector[4] + 2 * vector[5]
        assert sizes[6] ** 2 == pytest.approx(tritones)
        assert fourier(pcs.complement).magnitudes[1:] == pytest.approx(sizes[1:], abs=1e-9)


def test_z_partners_have_one_spectrum() -> None:
    """Lewin 1959: magnitudes hold just what the interval vector holds."""
    one, other = fourier(PcSet.of(0, 1, 4, 6)), fourier(PcSet.of(0, 1, 3, 7))
    assert one.magnitudes == pytest.approx(other.magnitudes)


def test_a_phase_turns_with_the_notes() -> None:
    for n in range(12):
        assert fourier(PcSet.of(n)).phases[1] == pytest.approx(n)
    assert fourier(DIATONIC).strongest == 5
    assert fourier("Cdim7").strongest == 4


def test_maximally_even_sets() -> None:
    """Clough & Douthett 1991: for each size the transpositions of floor(12 k / n), and no other."""
    for size in range(1, 12):
        even = PcSet.of(*(12 * k // size for k in range(size)))
        wanted = {even.transpose(n) for n in range(12)}
        assert {one for one in ALL if len(one) == size and evenness(one) == 1} == wanted


def test_evenness_lies_between_nothing_and_one() -> None:
    assert all(0 <= evenness(one) <= 1 for one in ALL)
    assert evenness(PcSet.of()) == evenness(range(12)) == 1
