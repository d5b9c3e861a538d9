"""The model of keys and its tables: laws, licences, size."""

from __future__ import annotations

import pytest

from harmonykit.evidence.keys import TABLES, Heard, find_clues, key_probabilities, merged
from harmonykit.evidence.kinds import FAMILIES, FOLDER, KINDS, read_table

ROW = [
    Heard(0, True, 2, "m7"), Heard(0, False, 7, "7"), Heard(1, True, 0, "6"),
    Heard(2, True, 0, "6"), Heard(3, True, 9, "7"),
]  # fmt: skip


def test_all_tables_are_small_and_name_source_licence_and_script():
    tables = sorted(FOLDER.glob("*.json"))
    assert sum(path.stat().st_size for path in tables) < 1_000_000
    for path in tables:
        table = read_table(path.stem)
        assert table["source"] and table["licence"] and table["script"].startswith("shared/")
        assert (FOLDER.parents[2] / table["script"]).is_file()


def test_the_notice_names_every_source():
    notice = (FOLDER.parent / "NOTICE.md").read_text(encoding="utf-8")
    for path in FOLDER.glob("*.json"):
        source = read_table(path.stem)["source"]
        assert source.split('"')[1 if '"' in source else 0].split(":")[0] in notice, path.name


@pytest.mark.parametrize("style", sorted(TABLES))
def test_weights_speak_of_at_most_four_chords_of_kinds_that_were_counted(style):
    kinds = {*KINDS[style], *FAMILIES.values()}
    for rows in read_table(TABLES[style])["weights"].values():
        for said in rows:
            roots, names = said.split(":")
            assert len(roots.split()) == len(names.split()) <= 4
            assert all(0 <= int(root) < 12 for root in roots.split())
            assert set(names.split()) <= kinds


def test_repeats_are_merged_and_make_no_difference():
    assert [each.root for each in merged(ROW)] == [2, 7, 0, 9]
    assert key_probabilities(ROW, 4) == key_probabilities(merged(ROW), 4)


def test_a_clue_that_comes_sixteen_times_counts_twice_as_much():
    row = [Heard(n, True, (0, 7)[n % 2], ("6", "7")[n % 2]) for n in range(32)]
    assert find_clues(row, 32)["chord", (0,), ("6",)] == pytest.approx(2)
    assert find_clues(row[:2], 2)["chord", (0,), ("6",)] == 1


def test_probabilities_turn_with_the_row():
    turned = [Heard(h.bar, h.strong, (h.root + 5) % 12, h.kind) for h in ROW]
    here, there = key_probabilities(ROW, 4), key_probabilities(turned, 4)
    assert sum(here.values()) == pytest.approx(1)
    for (tonic, mode), p in here.items():
        assert there[(tonic + 5) % 12, mode] == pytest.approx(p)
