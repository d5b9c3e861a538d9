"""What a survey's table shows, on tables small enough to be worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from made_tunes import made_tune
from small_tunes import tune_of

from harmonykit.arrange.survey.cells import COLUMNS, empty_row
from harmonykit.arrange.survey.folder import HEAD
from harmonykit.arrange.survey.run import survey
from harmonykit.arrange.survey.table import (
    best_keys,
    class_keys,
    gains,
    key_profile,
    keys_of,
    read_survey,
    with_over,
)
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import write_tune


def cell(key: str, instrument: str, cost: int | None, past: int = 0, **more: Any) -> dict[str, Any]:
    row = empty_row("Buoy", "" if cost is not None else "no shape")
    named = {"written": "D major", "key": f"{key} major", "instrument": instrument, "level": 1}
    numbers = {"cost": cost, "past": past, "written_past": past, "bars": 8}
    return {"file": "buoy.toml", "number": None} | row | named | numbers | more


def table(*cells: dict[str, Any]) -> pd.DataFrame:
    found = pd.DataFrame(list(cells), columns=list(HEAD))
    return found.assign(cost=pd.to_numeric(found["cost"]))


def example(title: str = "Buoy", **more: Any) -> pd.DataFrame:
    """On the ukulele C is best, G 10 % more; on the guitar G is best, and C 40 % more."""
    found = table(
        cell("C", "ukulele", 100, **more), cell("G", "ukulele", 110, **more),
        cell("D", "ukulele", 150, **more), cell("C", "guitar", 280, **more),
        cell("G", "guitar", 200, **more), cell("D", "guitar", 230, **more),
    )  # fmt: skip
    return found.assign(title=title, file=f"{title}.toml")


def test_the_best_key_of_each_instrument() -> None:
    found = best_keys(example()).set_index("instrument")
    assert found.loc["ukulele", ["key", "next", "written"]].tolist() == [
        "C major", "G major", "D major",
    ]  # fmt: skip
    assert found.loc["ukulele", ["cost", "past"]].tolist() == [100, 0]
    assert found.loc["ukulele", "margin"] == pytest.approx(10)
    assert found.loc["ukulele", "written_over"] == pytest.approx(50)
    assert found.loc["guitar", "key"] == "G major"
    assert found.loc["guitar", "margin"] == pytest.approx(15)
    assert found.loc["guitar", "written_over"] == pytest.approx(15)


def test_shapes_past_the_limits_come_before_cost() -> None:
    """G is dearer than C, but C wants a shape that the level has not: C is no better than G."""
    found = table(cell("C", "ukulele", 100, past=1), cell("G", "ukulele", 110))
    assert best_keys(found)["key"].tolist() == ["G major"]
    over = with_over(found)
    assert over["over"].tolist() == [0, 0] and over["rank"].tolist() == [1, 0]


def test_another_measure() -> None:
    found = example().assign(travel_mm=[50.0, 20.0, 90.0, 5.0, 7.0, 6.0])
    assert best_keys(found, "travel_mm")["key"].tolist() == ["G major", "C major"]
    with pytest.raises(HarmonyError, match=r"(?s)'fun' is not a measure.*cost"):
        best_keys(found, "fun")
    with pytest.raises(HarmonyError, match="'title' is not a measure"):
        best_keys(found, "title")


def test_the_key_for_a_class_is_that_of_the_least_worst() -> None:
    """C is 40 % off on the guitar, D 50 % on the ukulele, G 10 % at most."""
    (found,) = class_keys(example()).to_dict("records")
    assert (found["key"], found["past"], found["worst"]) == ("G major", 0, "ukulele, level 1")
    assert found["over"] == pytest.approx(10)


def test_a_key_that_one_instrument_cannot_play_is_none_for_a_class() -> None:
    found = table(
        cell("C", "ukulele", 100), cell("G", "ukulele", 190),
        cell("C", "guitar", None), cell("G", "guitar", 200),
    )  # fmt: skip
    assert class_keys(found)["key"].tolist() == ["G major"]
    past = table(
        cell("C", "ukulele", 100, past=1), cell("G", "ukulele", 190),
        cell("C", "guitar", 200), cell("G", "guitar", 300),
    )  # fmt: skip
    assert class_keys(past)["key"].tolist() == ["G major"]


def test_keys_over_many_tunes() -> None:
    """C is 0 and 30 % above the best, 15 on average with an error of 15; G 10 and 0, 5 and 5."""
    other = table(cell("C", "ukulele", 130), cell("G", "ukulele", 100)).assign(
        title="Cleat", file="cleat.toml"
    )
    mine = table(cell("C", "ukulele", 100), cell("G", "ukulele", 110))
    found = key_profile(pd.concat([mine, other])).set_index("key")
    assert found["over"].to_dict() == pytest.approx({"C major": 15, "G major": 5})
    assert found["error"].to_dict() == pytest.approx({"C major": 15, "G major": 5})
    assert found["best"].to_dict() == {"C major": 1, "G major": 1}
    assert (
        set(found["tunes"]) == {2} and set(found["past"]) == {0} and set(found["mode"]) == {"major"}
    )
    alone = key_profile(mine)
    assert all(math.isnan(error) for error in alone["error"])


def test_what_the_moves_gain() -> None:
    """Each tune in its best key: C for the ukulele, where 5 semitones a change become 3.5."""
    first = example(written_mean_movement=5.0, mean_movement=3.5, added=4)
    second = example("Cleat", written_mean_movement=6.0, mean_movement=6.5, added=9)
    found = gains(pd.concat([second, first]))
    assert found["title"].tolist() == ["Buoy", "Buoy", "Cleat", "Cleat"]
    assert found["gain"].tolist() == [1.5, 1.5, -0.5, -0.5]
    assert found["key"].tolist() == ["C major", "G major"] * 2


def test_the_rows_of_one_tune() -> None:
    both = pd.concat([example(), example("Cleat")])
    assert set(keys_of(both, "Cleat")["file"]) == {"Cleat.toml"} and len(keys_of(example())) == 6
    with pytest.raises(HarmonyError, match="0 tunes are called 'Ebb'"):
        keys_of(both, "Ebb")
    with pytest.raises(HarmonyError, match="2 tunes"):
        keys_of(both)


def test_rows_without_numbers_are_left_out() -> None:
    broken = {**dict.fromkeys(HEAD), "title": "", "file": "x.toml", "error": "empty"}
    found = pd.concat([example(), table(broken)])
    assert len(best_keys(found)) == 2 and len(class_keys(found)) == 1


def test_a_survey_is_read_as_it_was_written(tmp_path: Path) -> None:
    tune = replace(made_tune(1), title="NA", sections=tune_of("| C6 |").sections, order=())
    write_tune(tune, tmp_path / "na.toml")
    (tmp_path / "bad.toml").write_text("")
    out = survey([tmp_path], tmp_path / "s", [Instrument.named("ukulele")], levels=[1], tonics=[0])
    found = read_survey(out)
    assert list(found.columns) == list(HEAD) and list(found["title"]) == ["", "NA"]
    assert found["cost"].isna().tolist() == [True, False]
    assert found["least_seconds"].iloc[1] == math.inf and found["shapes"].iloc[1] == 1
    assert str(found["shapes"].dtype) == "Int64" and found["error"].iloc[1] == ""
    again = pd.read_parquet(out / "survey.parquet")
    pd.testing.assert_frame_equal(again, found)


def test_what_is_no_survey(tmp_path: Path) -> None:
    with pytest.raises(HarmonyError, match="is not the folder of a survey"):
        read_survey(tmp_path)


def test_every_column_is_explained() -> None:
    assert all(COLUMNS.values()) and list(HEAD) == ["file", "number", *COLUMNS]


def test_the_usual_measure_is_how_hard_it_is_to_play_where_the_table_has_it() -> None:
    """By cost B would be the better key; a table of before the measure goes by cost."""
    hard = cell("B", "ukulele", 100, written_playability=7.0)
    easy = cell("C", "ukulele", 120, written_playability=5.0)
    rows = table(hard, easy)
    assert best_keys(rows)["key"].tolist() == ["C major"]
    assert best_keys(rows, "cost")["key"].tolist() == ["B major"]
    assert best_keys(rows.drop(columns="written_playability"))["key"].tolist() == ["B major"]
