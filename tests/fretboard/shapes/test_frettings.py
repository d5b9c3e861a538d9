"""Every fretting: against exhaustive tables, and against a search that prunes nothing."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tables import rows

from harmonykit.fretboard.shapes.frettings import Fretting, frettings

Search = Callable[..., list[Fretting]]

UKULELE, BARITONE, GUITAR = (67, 60, 64, 69), (50, 55, 59, 64), (40, 45, 50, 55, 59, 64)


def brute_force(
    strings: tuple[int, ...], must: int, may: int, within: tuple[int, int], mutes: bool
) -> list[Fretting]:
    """Try every fret on every string, and keep what is asked for."""
    max_fret, max_span = within
    frets: tuple[int | None, ...] = (*range(max_fret + 1),)
    found = []
    for shape in product((None, *frets) if mutes else frets, repeat=len(strings)):
        sounded = 0
        for string, fret in zip(strings, shape, strict=True):
            if fret is not None:
                sounded |= 1 << (string + fret) % 12
        if sounded and must & ~sounded == 0 and sounded & ~may == 0 and span(shape) <= max_span:
            found.append(shape)
    return found


def span(shape: Fretting) -> int:
    fretted = [fret for fret in shape if fret]
    return max(fretted) - min(fretted) if fretted else 0


@pytest.fixture(params=[frettings, brute_force], ids=["pruned", "brute force"])
def search(request: pytest.FixtureRequest) -> Search:
    """Both searches must give the published tables."""
    found: Search = request.param
    return found


def mask(pcs: str) -> int:
    return sum(1 << int(pc) for pc in pcs.split(","))


UKE_ROWS = rows("voicings_uke")


@pytest.mark.parametrize("chord", ["C6", "Bbm6"])
def test_the_table_of_ukulele_shapes_is_met_exactly(search: Search, chord: str) -> None:
    ours = [row for row in UKE_ROWS if row["chord"] == chord]
    tones = mask(ours[0]["pcs"])
    expected = sorted(tuple(map(int, row["frets_gCEA"].split())) for row in ours)
    assert search(UKULELE, tones, tones, (12, 3), mutes=False) == expected


# Intervals from the root of the qualities in the tables of counts: common practice, no source.
QUALITIES = {
    "6": "0,4,7,9",
    "m6": "0,3,7,9",
    "7": "0,4,7,10",
    "dim7": "0,3,6,9",
    "maj7": "0,4,7,11",
    "m7": "0,3,7,10",
    "m7b5": "0,3,6,10",
    "7b5": "0,4,6,10",
}
ROOTS = dict(zip("C Db D Eb E F F# G Ab A Bb B".split(), range(12), strict=True))


def tones_of(chord: str) -> int:
    root = chord[:2] if chord[1:2] in ("b", "#") else chord[:1]
    above = QUALITIES[chord.removeprefix(root)].split(",")
    return sum(1 << (ROOTS[root] + int(n)) % 12 for n in above)


COUNTS = rows("voicings_uke_counts")


@pytest.mark.parametrize("row", COUNTS, ids=lambda row: f"{row['tuning']} {row['chord']}")
def test_counts_of_shapes_are_those_of_the_table(search: Search, row: dict[str, str]) -> None:
    strings = UKULELE if row["tuning"] == "gCEA" else BARITONE
    tones = tones_of(row["chord"])
    found = search(strings, tones, tones, (12, 4), mutes=False)
    for widest in (2, 3, 4):
        within = [shape for shape in found if span(shape) <= widest]
        assert len(within) == int(row[f"span_le_{widest}"])
        if search is frettings:
            assert within == frettings(strings, tones, tones, (12, widest), mutes=False)
    three = [shape for shape in found if span(shape) <= 3]
    assert sum(0 not in shape for shape in three) == int(row["span_le_3_no_open"])
    assert sum(12 not in shape for shape in three) == int(row["span_le_3_no_fret12"])


# On a guitar every fret up to the fourth, muted strings and all; the whole neck is counted in
# test_voicing, against two independent algorithms.
@pytest.mark.parametrize("quality", QUALITIES)
def test_the_guitar_agrees_with_a_full_search_to_the_fourth_fret(quality: str) -> None:
    tones = tones_of("E" + quality)
    asked = (GUITAR, tones, tones, (4, 3))
    assert set(frettings(*asked, mutes=True)) == set(brute_force(*asked, True))


def test_the_list_is_sorted_muted_strings_first() -> None:
    found = frettings(UKULELE, 1, 0b10010001, (5, 3), mutes=True)
    assert found == sorted(found, key=lambda s: [-1 if f is None else f for f in s])
    assert len(set(found)) == len(found)


def test_one_string_at_least_sounds() -> None:
    assert frettings((60, 64, 67), 0, 1, (2, 3), mutes=True) == [(0, None, None)]


@settings(max_examples=60)
@given(
    strings=st.lists(st.integers(40, 70), min_size=3, max_size=6).map(tuple),
    may=st.integers(1, 4095),
    drop=st.integers(0, 4095),
    max_fret=st.integers(0, 5),
    max_span=st.integers(0, 4),
    mutes=st.booleans(),
)
def test_nothing_is_pruned_that_a_full_search_finds(
    strings: tuple[int, ...], may: int, drop: int, max_fret: int, max_span: int, mutes: bool
) -> None:
    must = may & drop
    max_fret = min(max_fret, 3) if len(strings) > 5 else max_fret
    asked = (strings, must, may, (max_fret, max_span))
    assert set(frettings(*asked, mutes=mutes)) == set(brute_force(*asked, mutes))


@pytest.mark.long
def test_the_guitar_agrees_with_a_full_search_to_the_fifth_fret() -> None:
    for quality in QUALITIES:
        for root in ROOTS:
            tones = tones_of(root + quality)
            asked = (GUITAR, tones, tones, (5, 3))
            assert set(frettings(*asked, mutes=True)) == set(brute_force(*asked, True))
