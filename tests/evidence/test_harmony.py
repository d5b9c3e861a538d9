"""The model of changes: laws, and what its tables hold."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from harmonykit.evidence.harmony import (
    HARMONY,
    KEYS,
    Harmony,
    harmony_of,
)
from harmonykit.evidence.heard import FEWEST, heard, heard_next
from harmonykit.evidence.keys import Heard
from harmonykit.evidence.kinds import KINDS, read_table

ROW = [Heard(0, True, 2, "m7"), Heard(0, False, 7, "7"), Heard(1, True, 0, "6")]
PLAIN_ROW = [Heard(0, True, 9, "min"), Heard(1, True, 5, "maj"), Heard(2, True, 0, "maj")]
ROWS = {"jazz": ROW, "plain": PLAIN_ROW}


@pytest.mark.parametrize("style", sorted(HARMONY))
@pytest.mark.parametrize("length", [2, 3])
@pytest.mark.parametrize("key", [(0, "major"), (9, "minor"), (6, "major")])
def test_probabilities_of_all_changes_sum_to_one(style, length, key):
    row, model = ROWS[style][:length], harmony_of(style)
    last = row[-1]
    total = sum(
        model.likely([*row[:-1], replace(last, root=root, kind=kind)], length - 1, [key])[0]
        for root in range(12)
        for kind in KINDS[style]
    )
    assert total == pytest.approx(1)


@pytest.mark.parametrize("style", sorted(HARMONY))
def test_bits_sum_to_one_over_every_change_after_any_past(style):
    row, model = ROWS[style], harmony_of(style)
    chances = [
        2 ** -model.bits([*row, Heard(2, True, root, kind)], (0, "major"))[-1]
        for root in range(12)
        for kind in KINDS[style]
    ]
    assert sum(chances) == pytest.approx(1)


def test_bits_turn_with_row_and_key():
    model = harmony_of("jazz")
    turned = [replace(each, root=(each.root + 8) % 12) for each in ROW]
    assert model.bits(ROW, (0, "major")) == pytest.approx(model.bits(turned, (8, "major")))
    local = model.local_keys(turned, (8, "major"))
    assert local == [((t + 8) % 12, m) for t, m in model.local_keys(ROW, (0, "major"))]
    assert len(local) == len(ROW) and set(local) <= set(KEYS)


def test_without_counts_every_change_is_as_likely():
    empty = Harmony([{}, {}, {}, {}], 11)
    assert empty.bits(ROW, (0, "major")) == pytest.approx([math.log2(132)] * 2)


@pytest.mark.parametrize("style", sorted(HARMONY))
def test_every_context_of_the_tables_is_one_that_a_row_may_have(style):
    kinds = KINDS[style]
    any_change, placed, degrees, two = harmony_of(style).levels
    assert set(any_change) == {()}
    assert all(c[0] in kinds and set(c[1:]) <= {0, 1} and len(c) == 4 for c in placed)
    for mode, degree, kind, *_ in [*degrees, *two]:
        assert mode in ("major", "minor") and 0 <= degree < 12 and kind in kinds
    assert {c[3:] for c in degrees} == {()} and {len(c) for c in two} <= {4, 5}
    for level in harmony_of(style).levels:
        for rest, follows in level.values():
            assert rest >= 0 and all(n > 0 and 0 <= to[0] < 12 for to, n in follows.items())


@pytest.mark.parametrize("table", ["heard", "heard_plain"])
def test_rows_have_two_to_four_chords_of_three_tunes_or_more(table):
    found = read_table(table)
    kinds = set(KINDS["plain" if "plain" in table else "jazz"])
    for name, (times, tunes) in found["chains"].items():
        words = name.split(" ")
        assert len(words) in (3, 5, 7) and set(words[::2]) <= kinds
        assert all(0 <= int(step) < 12 for step in words[1::2])
        assert FEWEST <= tunes <= min(times, found["tunes"])


def test_what_follows_is_what_was_heard():
    for step, kind, often in heard_next("7", "jazz"):
        row = [Heard(0, True, 0, "7"), Heard(0, True, step, kind)]
        assert heard(row, "jazz") == often


# Where HARMONYKIT_EVIDENCE names the folder of the collections, which are not in this project.
FOLDER = os.environ.get("HARMONYKIT_EVIDENCE", "")
if FOLDER:

    @pytest.mark.long
    def test_keys_and_changes_of_tunes_that_were_left_out():
        """What was reached, less two standard errors; see "Evidence" in DEVELOPERS.md."""
        script = Path(__file__).parents[2] / "shared" / "evidence" / "evaluate_harmony.py"
        run = [sys.executable, str(script), FOLDER]
        said = subprocess.run(run, capture_output=True, text=True, check=True).stdout
        assert figure(said, "key and mode, two-fold") > 86
        assert figure(said, "log loss") < 0.57
        assert all(gain > 0.5 for gain in figures(said, "less by"))

    def figures(said: str, after: str) -> list[float]:
        return [float(each) for each in re.findall(rf"{after}:? ([0-9.]+)", said)]

    def figure(said: str, after: str) -> float:
        return figures(said, after)[0]
