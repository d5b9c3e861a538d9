"""Whether keys whose shapes have open strings are the easier ones, by a survey's own numbers."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from harmonykit.arrange.survey.cells import OPEN
from harmonykit.arrange.survey.table import EASE, PLAYED, measured, records
from harmonykit.words.numbers import counted

if TYPE_CHECKING:
    import pandas as pd

_APART = 1e-9


def has_open(table: pd.DataFrame) -> bool:
    """Whether a table tells of open strings: one of before they were counted does not."""
    return OPEN in table.columns and bool(measured(table)[OPEN].notna().any())


def open_shapes(table: pd.DataFrame) -> pd.DataFrame:
    """Return for each tune, instrument and level whether more open shapes make a key easier.

    Each two keys are compared in which the shapes of the tune's own chords differ both in how long
    an open string sounds, ``written_open``, and in difficulty, ``written_playability``.

    Columns: ``pairs``, how many there are; ``easier``, in how many of them the key with more open
    shapes is the easier one.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.

    Returns
    -------
    DataFrame
    """
    found = []
    for played, rows in measured(table).groupby(PLAYED, sort=False, dropna=False):
        keys = rows[[OPEN, EASE]].dropna().to_numpy(dtype=float).tolist()
        pairs = [
            (one[0] - other[0], one[1] - other[1])
            for one, other in combinations(keys, 2)
            if abs(one[0] - other[0]) > _APART and abs(one[1] - other[1]) > _APART
        ]
        easier = sum(more * harder < 0 for more, harder in pairs)
        row = dict(zip(PLAYED, played, strict=True))
        found.append(row | {"pairs": len(pairs), "easier": easier})
    from pandas import DataFrame

    return DataFrame(found, columns=[*PLAYED, "pairs", "easier"])


def open_finding(table: pd.DataFrame) -> str:
    """Return in a sentence what a table shows of open strings, of all its hands together.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    """
    found = records(open_shapes(table))
    pairs, easier = (sum(row[name] for row in found) for name in ("pairs", "easier"))
    if not pairs:
        return "no two keys differ in open strings and in difficulty"
    return (
        f"of {counted(pairs, 'pair')} of keys, the one with more open strings is the easier in "
        f"{easier} ({100 * easier / pairs:.0f} %)"
    )
