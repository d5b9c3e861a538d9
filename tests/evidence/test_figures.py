"""What the committed tables hold of the figures, without the collections they were counted from.

The figures themselves stand in "Evidence" in DEVELOPERS.md; here is what follows from the tables by
arithmetic alone.
"""

from __future__ import annotations

import math
from collections import defaultdict

import pytest

from harmonykit.evidence.keys import TABLES, Heard, key_probabilities
from harmonykit.evidence.kinds import JAZZ, PLAIN, read_table
from harmonykit.evidence.weights import read_model
from harmonykit.tune.analysis.surprise import AS_WRITTEN, surprise


def bits(counts: list[dict[object, float]]) -> float:
    """Return the bits of a change by shares alone, over contexts by how often each comes."""
    total = sum(sum(each.values()) for each in counts)
    return (
        sum(-n * math.log2(n / sum(each.values())) for each in counts for n in each.values())
        / total
    )


@pytest.mark.parametrize("name", ["harmony", "harmony_plain"])
def test_each_level_of_context_tells_more_of_the_change(name: str) -> None:
    """By arithmetic: no condition makes a change more uncertain; a degree tells half a bit."""
    by_level = []
    for level in read_table(name)["levels"]:
        by_level.append(bits([follows for _, follows in level.values() if follows]))
    anything, placed, degree, before = by_level
    assert anything > placed > degree > before
    assert anything - degree > 0.5


def test_a_usual_row_has_fewer_bits_than_a_tune_as_written_and_a_strange_one_more() -> None:
    # Common practice, no source.
    assert surprise("Cmaj7 Am7 Dm7 G7 Cmaj7", "C").mean < AS_WRITTEN - 1
    assert surprise("Cmaj7 F#m7 Bbmaj7 E6 Gm6 Dbmaj7", "C").mean > AS_WRITTEN + 2


@pytest.mark.parametrize("tonic", range(12))
@pytest.mark.parametrize(
    ("row", "mode"),
    [("0 m6 2 m7b5 7 7 0 m6", "minor"), ("0 maj7 9 m7 2 m7 7 7 0 maj7", "major")],
)
def test_a_cadence_is_found_in_every_key(tonic: int, row: str, mode: str) -> None:
    # Common practice, no source: ii V I in either mode.
    words = row.split()
    heard = [
        Heard(n, True, (int(root) + tonic) % 12, kind)
        for n, (root, kind) in enumerate(zip(words[::2], words[1::2], strict=True))
    ]
    found = key_probabilities(heard, len(heard))
    assert found[tonic, mode] > 0.9


def test_weights_of_keys_are_many_and_small_and_speak_of_both_modes() -> None:
    for style in (JAZZ, PLAIN):
        rows = read_table(TABLES[style])["weights"]
        pairs = [pair for each in rows.values() for pair in each.values()]
        assert all(len(pair) == 2 for pair in pairs)
        assert any(major > 0 > minor for major, minor in pairs)
        assert any(minor > 0 > major for major, minor in pairs)


def test_a_song_is_harder_by_every_feature_and_no_weight_is_within_its_error() -> None:
    """Vásquez et al. 2023: 96 songs; the weight of the hand is the least sure."""
    model = read_model("playability")
    sure = {weight.name: weight.value / weight.error for weight in model.weights}
    assert all(times > 1.5 for times in sure.values())
    assert {name for name, times in sure.items() if times < 2} == {"hand"}
    assert {weight.cases for weight in model.weights} == {96}


def test_shapes_are_told_by_98_choices() -> None:
    """Keating & Casey 2024: every weight is more than two errors from nothing."""
    model = read_model("shapes")
    assert all(abs(weight.value) > 2 * weight.error for weight in model.weights)
    assert {weight.cases for weight in model.weights} == {98}


def test_rows_of_chords_are_heard_less_often_as_they_grow() -> None:
    chains: dict[int, list[int]] = defaultdict(list)
    for name, (times, _) in read_table("heard")["chains"].items():
        chains[len(name.split())].append(times)
    sums = [sum(chains[length]) for length in (3, 5, 7)]
    assert sums == sorted(sums, reverse=True)
