"""CSV that a spreadsheet shows and never runs; every text comes back."""

from __future__ import annotations

import csv
import io

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.files.table import csv_text, frame_text, plain

# OWASP, "CSV Injection": what may begin a formula.
BEGINNINGS = ["=", "+", "-", "@", "\t", "\r"]


def cells(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


@pytest.mark.parametrize("sign", BEGINNINGS)
@pytest.mark.parametrize("rest", ["1+1", "cmd|' /C calc'!A0", 'HYPERLINK("x")', "", "C6"])
def test_nothing_runs(sign: str, rest: str) -> None:
    text = sign + rest
    if text in ("+1+1", "-1+1"):
        text += "a"
    header, (cell,) = cells(csv_text([text], [[text]]))
    assert header == [cell] and cell == "'" + text
    assert plain(cell) == text


def test_numbers_stay_numbers() -> None:
    row = [-3, -0.25, 1e300, np.float64(-0.1), np.int64(-7), "-0.25", "+4", "1e-5", None, True]
    ((*_,), found) = cells(csv_text(["x"] * len(row), [row]))
    wanted = ["-3", "-0.25", "1e+300", "-0.1", "-7", "-0.25", "+4", "1e-5", "", "True"]
    assert found == wanted
    table = pd.read_csv(io.StringIO(csv_text(["x"], [[-0.5], [float("nan")], [2]])))
    assert table["x"].dropna().tolist() == [-0.5, 2.0]


@given(st.lists(st.lists(st.text(max_size=12), min_size=2, max_size=2), max_size=6))
def test_every_text_comes_back(rows: list[list[str]]) -> None:
    # What UTF-8 has no bytes for (half of a pair) becomes a question mark.
    rows = [[cell.encode("utf-8", "replace").decode() for cell in row] for row in rows]
    found = cells(csv_text(["a", "b"], rows))[1:]
    assert [[plain(cell) for cell in row] for row in found] == rows
    assert not any(cell[:1] in BEGINNINGS and not is_number(cell) for row in found for cell in row)


def is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def test_bytes_that_are_not_text() -> None:
    assert csv_text(["file"], [["caf\udce9.abc"]]) == "file\ncaf?.abc\n"


def test_a_table_of_pandas_comes_back() -> None:
    index = pd.Index(["as written", "=best"], name="arrangement")
    frame = pd.DataFrame({"mean (mm)": [-0.5, 2.25], "bars": [3, 4]}, index=index)
    text = frame_text(frame)
    found = pd.read_csv(io.StringIO(text), index_col=0)
    assert found.to_dict("list") == frame.to_dict("list")
    assert [plain(name) for name in found.index] == list(index)
    holes = pd.DataFrame({"n": pd.array([1, None], dtype="Int64"), "s": ["@x", None]})
    assert frame_text(holes, index=False) == "n,s\n1,'@x\n,\n"
