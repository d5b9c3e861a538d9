"""The figures of a survey, written into a folder."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from harmonykit.arrange.survey.folder import Folder
from harmonykit.arrange.survey.run import Told
from harmonykit.arrange.survey.table import HAND, TUNE, measured, records
from harmonykit.draw.base.style import Drawing
from harmonykit.draw.plots.survey_gains import draw_gains
from harmonykit.draw.plots.survey_map import draw_key_map
from harmonykit.draw.plots.survey_profile import MOST_HANDS, draw_key_profile
from harmonykit.files.names import slug

if TYPE_CHECKING:
    import pandas as pd

PLOTS = "plots"
Plot = tuple[str, Callable[[], Drawing]]


def write_plots(table: pd.DataFrame, folder: Folder, by: str, told: Told) -> int:
    """Draw a map for each tune, the keys on the whole, and what gains most; return how many."""
    plots = [*_plots(measured(table), by)]

    def drawn() -> Iterator[tuple[str, str]]:
        for done, (name, draw) in enumerate(plots):
            told(done, len(plots))
            yield f"{PLOTS}/{name}.svg", draw().as_file()

    folder.add(drawn())
    told(len(plots), len(plots))
    return len(plots)


def _plots(table: pd.DataFrame, by: str) -> Iterator[Plot]:
    """Yield the name of each figure, and what draws it."""
    tunes = [rows for _, rows in table.groupby(TUNE, sort=False, dropna=False)]
    digits = len(str(len(tunes)))
    for number, rows in enumerate(tunes, 1):
        name = f"keys-{number:0{digits}}-{slug(rows['title'].iloc[0])}"
        yield name, partial(draw_key_map, rows, by=by)
    for mode in dict.fromkeys(table["key"].str.split().str[-1]):
        for name, rows in _by_level(table):
            yield f"{mode}-keys-{name}", partial(draw_key_profile, rows, mode, by=by)
    for hand in records(table[HAND].drop_duplicates()):
        name = f"gains-{slug(hand['instrument'])}-level-{hand['level']}"
        yield name, partial(draw_gains, table, **hand, by=by)


def _by_level(table: pd.DataFrame) -> Iterator[tuple[str, pd.DataFrame]]:
    """Yield the rows of each level, of as many instruments as one figure has room for."""
    instruments = list(dict.fromkeys(table["instrument"]))
    for level in sorted(set(table["level"])):
        for start in range(0, len(instruments), MOST_HANDS):
            some = instruments[start : start + MOST_HANDS]
            rows = table[(table["level"] == level) & table["instrument"].isin(some)]
            more = f"-{start // MOST_HANDS + 1}" if len(instruments) > MOST_HANDS else ""
            yield f"level-{level}{more}", rows
