"""Keys by open strings and difficulty: pairs counted by hand, dots by plane geometry."""

from __future__ import annotations

import pandas as pd
import pytest
from lawful import lawful
from survey_tables import surveyed, texts

from harmonykit.arrange.survey.opened import has_open, open_finding, open_shapes
from harmonykit.draw.plots.survey_open import draw_open_shapes
from harmonykit.draw.tree import Path
from harmonykit.errors import HarmonyError


def a_tune() -> pd.DataFrame:
    table = surveyed()
    return table[table["title"] == table["title"].iloc[0]]


@pytest.mark.parametrize("width", [152.0, 90.0])
def test_no_two_names_touch_and_dots_stand_in_proportion(width: float) -> None:
    rows = a_tune()
    figure = draw_open_shapes(rows, width_mm=width)
    lawful(figure, (1.1, 2.5, 5.1, 4.0))
    hands = [cells for _, cells in rows.groupby(["instrument", "level"], sort=False)]
    for place, cells in enumerate(hands, 1):
        paths = figure.sheet.all(Path, within=f"hand-{place}")
        dots = [p.box.middle for p in paths if p.fill == "ink"]
        assert len(dots) == len(cells) == 12
        for axis, name, sign in ((0, "written_open", 1), (1, "written_playability", -1)):
            values = [float(value) for value in cells[name]]
            low, high = values.index(min(values)), values.index(max(values))
            at = [spot[axis] for spot in dots]
            step = (at[high] - at[low]) / (values[high] - values[low])
            assert step * sign > 0
            assert at == pytest.approx([at[low] + (v - values[low]) * step for v in values])
        # The key of the tune as written, and no other, has a ring about its dot.
        (ring,) = [p.box.middle for p in paths if p.stroke and p.width == 0.3]
        written = [key == home for key, home in zip(cells["key"], cells["written"], strict=True)]
        assert dots[written.index(True)] == pytest.approx(ring)


def test_pairs_are_counted() -> None:
    """By hand: of six pairs one has as much of open strings, and one goes the other way."""
    rows = (
        a_tune()
        .head(4)
        .assign(written_open=[100.0, 50.0, 50.0, 0.0], written_playability=[2.0, 3.0, 4.0, 3.5])
    )
    (found,) = open_shapes(rows).to_dict("records")
    assert (found["pairs"], found["easier"]) == (5, 4)
    assert open_finding(rows) == (
        "of 5 pairs of keys, the one with more open strings is the easier in 4 (80 %)"
    )
    figure = draw_open_shapes(rows)
    assert "of 5 pairs of keys" in figure.alt and "in 4 (80 %)" in " ".join(texts(figure))
    assert open_finding(rows.head(1)).startswith("no two keys differ")


def test_open_strings_are_marked_in_quarters_of_the_time() -> None:
    figure = draw_open_shapes(a_tune())
    marks = [text for text in texts(figure) if text.isdigit() and int(text) % 25 == 0]
    assert set(marks) >= {"0", "25", "50", "75", "100"}


def test_a_table_of_before_has_none() -> None:
    before = a_tune().drop(columns="written_open")
    assert not has_open(before)
    with pytest.raises(HarmonyError, match="no results for open strings"):
        draw_open_shapes(before)
