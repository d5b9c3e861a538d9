"""The tables of ``tests/data``: expected values that the code under test did not make."""

from __future__ import annotations

import csv
from pathlib import Path

DATA = Path(__file__).resolve().parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of ``tests/data/NAME.tsv``, each by column name."""
    with (DATA / f"{name}.tsv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE))


def numbers(text: str) -> tuple[int, ...]:
    """Return whole numbers that stand between commas; of an empty field or a dash, none."""
    return tuple(int(word) for word in text.split(",") if word not in ("", "-"))
