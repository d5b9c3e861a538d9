"""What a survey shows: the best key of each tune, of a class, of many tunes; what the moves gain.

Conventions.  A *cell* is a tune in a key on an instrument at a level.  Of two keys the one lies
better that asks for fewer shapes past the level's limits; of such as ask for the same, the one
with the lesser measure: unless another is named, ``written_playability``, how hard the tune's own
chords are in their first usual shapes (``cost`` in a table of before it was measured).  How much
worse than the best a key is stands as *over*, in percent of the best key's measure, so that tunes
and instruments can be put side by side: no unit of cost does that.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.arrange.survey.cells import NUMBERS
from harmonykit.arrange.survey.folder import TABLE, read_manifest, read_table
from harmonykit.errors import HarmonyError
from harmonykit.theory.key import Key

if TYPE_CHECKING:
    import pandas as pd

TUNE = ["file", "number", "title"]
HAND = ["instrument", "level"]
PLAYED = [*TUNE, *HAND]
EASE = "written_playability"
_BEFORE = "cost"
_SAID = {EASE: "difficulty as written", "playability": "difficulty"}


def read_survey(folder: str | Path) -> pd.DataFrame:
    """Return the table of a survey: one row a tune, instrument, level and key.

    Parameters
    ----------
    folder : str or Path
        A survey's, see ``hk.survey.make``.

    Returns
    -------
    DataFrame
        With columns for the tune, the cell and what was measured.

    Raises
    ------
    HarmonyError
        If the folder is no survey's, or its survey is not finished.
    """
    path = Path(folder)
    manifest = read_manifest(path)
    if not manifest:
        raise HarmonyError(
            f"{path} is not the folder of a survey", mend="harmonykit survey ... --out DIR"
        )
    if not manifest.get("finished"):
        raise HarmonyError(
            f"the survey in {path} is not finished", mend="run the same command again to continue"
        )
    return read_table(path / TABLE)


def measured(table: pd.DataFrame) -> pd.DataFrame:
    """Return the rows that have numbers."""
    return table[table["error"] == ""]


def with_over(table: pd.DataFrame, by: str = "") -> pd.DataFrame:
    """Return the rows that have numbers, with ``over`` and with ``rank`` among the keys, from 0.

    Raises
    ------
    HarmonyError
        If there is no such measure.
    """
    by = measure_for(table, by)
    past = "written_past" if by.startswith("written_") else "past"
    rows = measured(table).sort_values([past, by], kind="stable")
    grouped = rows.groupby(PLAYED, sort=False, dropna=False)
    best = grouped[by].transform("first")
    # Past the limits the measure may even be less than in the best key: that is no better one.
    over = (100 * (rows[by] / best - 1)).astype("float64").where(best > 0, 0.0).clip(lower=0.0)
    return rows.assign(over=over, rank=grouped.cumcount(), beyond=rows[past]).sort_index()


def measure_for(table: pd.DataFrame, by: str = "") -> str:
    """Return the measure by which keys of a table are compared: the one named, or the usual one.

    Raises
    ------
    HarmonyError
        If there is no such measure.
    """
    if by:
        check_measure(by)
        return by
    known = EASE in table.columns and table[EASE].notna().any()
    return EASE if known else _BEFORE


def measure_said(by: str) -> str:
    """Return a measure in words: ``"difficulty as written"``, ``"mean movement"``."""
    return _SAID.get(by, by.replace("_", " "))


def in_one_key(table: pd.DataFrame) -> bool:
    """Whether each tune was measured in one key alone, so that none is better than another."""
    keys = measured(table).groupby(PLAYED, sort=False, dropna=False)["key"].nunique()
    return bool((keys < 2).all())


def check_measure(by: str) -> None:
    """Make sure that a survey has a measure.

    Raises
    ------
    HarmonyError
        If it has none such.
    """
    if by not in NUMBERS:
        raise HarmonyError(f"{by!r} is not a measure of a survey", rule=", ".join(NUMBERS))


def best_keys(table: pd.DataFrame, by: str = "") -> pd.DataFrame:
    """Return for each tune, instrument and level the key in which it lies best.

    Columns: the key and what it measures; ``past``; ``next``, the second best key, and ``margin``,
    how many percent worse that one is; ``written``, and how many percent worse it lies as written.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    by : str
        The measure to go by: the less the better.

    Returns
    -------
    DataFrame
    """
    by = measure_for(table, by)
    rows = with_over(table, by).set_index(PLAYED)
    first, second = rows[rows["rank"] == 0], rows[rows["rank"] == 1]
    home = rows[rows["key"].map(_pitch_class) == rows["written"].map(_pitch_class)]
    found = first[["key", by, "beyond"]].rename(columns={"beyond": "past"})
    found = found.assign(
        next=second["key"], margin=second["over"], written=first["written"],
        written_over=home["over"],
    )  # fmt: skip
    return found.reset_index()


def class_keys(table: pd.DataFrame, by: str = "") -> pd.DataFrame:
    """Return for each tune the key that is good for all its instruments and levels at once.

    It is the key in which the hand that is worst off loses least: the first of ``together``.
    Columns: the key; ``past`` and ``over``, the greatest of any hand; ``worst``, the hand that is
    the greatest ``over`` from its own best key.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    by : str, optional
        The measure to go by: the less the better.

    Returns
    -------
    DataFrame
    """
    rows = with_over(table, by)
    found = [
        dict(zip(TUNE, tune, strict=True)) | records(together(cells))[0]
        for tune, cells in rows.groupby(TUNE, sort=False, dropna=False)
    ]
    # Whoever works on a survey begins in this package too, and needs no tables.
    from pandas import DataFrame

    return DataFrame(found, columns=[*TUNE, "key", "past", "over", "worst"])


def together(rows: pd.DataFrame) -> pd.DataFrame:
    """Return how the keys of one tune lie for all hands at once, the best key first.

    A key in which some hand cannot play at all comes last, whatever it is to the others.

    Parameters
    ----------
    rows : DataFrame
        Those of one tune, as ``with_over`` gives them.
    """
    rows = rows.assign(worst=rows["instrument"] + ", level " + rows["level"].astype("str"))
    rows = rows.sort_values("over", kind="stable")
    found = rows.groupby("key", sort=False).agg(
        hands=("over", "size"),
        past=("beyond", "max"),
        over=("over", "max"),
        worst=("worst", "last"),
    )
    order = found.assign(missing=-found["hands"])
    return order.sort_values(["missing", "past", "over"], kind="stable").reset_index()


def key_profile(table: pd.DataFrame, by: str = "") -> pd.DataFrame:
    """Return how each key lies on the whole, for each mode, instrument and level.

    Columns: ``over``, the mean over the tunes; ``error``, its standard error; ``best``, of how
    many tunes it is the best key; ``past``, in how many it asks for shapes past the limits;
    ``tunes``.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    by : str, optional
        The measure to go by: the less the better.

    Returns
    -------
    DataFrame
    """
    rows = with_over(table, by)
    rows = rows.assign(mode=rows["key"].str.split().str[-1])
    grouped = rows.groupby(["mode", *HAND, "key"], sort=False)
    return grouped.agg(
        over=("over", "mean"),
        error=("over", "sem"),
        best=("rank", lambda ranks: int((ranks == 0).sum())),
        past=("beyond", lambda counts: int((counts > 0).sum())),
        tunes=("rank", "size"),
    ).reset_index()


def gains(table: pd.DataFrame, by: str = "") -> pd.DataFrame:
    """Return what the moves do for each tune in its best key, the tune that gains most first.

    ``gain`` is by how many semitones less the voices move at each change, all together, than in
    the best way to play the tune's own chords in that key: ``written_mean_movement`` less
    ``mean_movement``.  ``travel_gain`` is the same of the hand's travel, in mm a change; ``added``
    chords are what it costs.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    by : str, optional
        The measure to go by: the less the better.

    Returns
    -------
    DataFrame
    """
    best = with_over(table, by).query("rank == 0")
    found = best[[*PLAYED, "key", "bars", "added", "written_mean_movement", "mean_movement"]]
    found = found.assign(gain=best["written_mean_movement"] - best["mean_movement"])
    return found.sort_values("gain", ascending=False, kind="stable").reset_index(drop=True)


def keys_of(table: pd.DataFrame, title: str = "") -> pd.DataFrame:
    """Return the rows of one tune: of the one with a title, or of the only one that there is.

    Parameters
    ----------
    table : DataFrame
        As ``hk.survey.read`` gives it.
    title : str, optional
        Of a tune; not needed where there is one only.

    Returns
    -------
    DataFrame

    Raises
    ------
    HarmonyError
        If there is no such tune, or more than one.
    """
    rows = table[table["title"] == title] if title else table
    tunes = rows[TUNE].drop_duplicates()
    if len(tunes) != 1:
        raise HarmonyError(
            f"{len(tunes)} tunes" + (f" are called {title!r}" if title else ""),
            rule="one tune, by its title",
            mend=", ".join(map(repr, list(dict.fromkeys(table["title"]))[:5])),
        )
    return rows


def records(table: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the rows of a table, each by the names of its columns."""
    return [{str(name): value for name, value in row.items()} for row in table.to_dict("records")]


def by_hand(rows: pd.DataFrame) -> Iterator[tuple[str, pd.DataFrame]]:
    """Give each instrument at a level as it is written, and its rows, in the order of the table."""
    for (instrument, level), own in rows.groupby(HAND, sort=False):
        yield f"{instrument}, level {level}", own


def _pitch_class(name: str) -> int:
    return Key.parse(name).tonic.pitch_class
