"""What ``harmonykit survey`` does: read what was asked, work with a bar, say what came out.

The figures of a survey go into a folder beside its table.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from harmonykit.arrange.survey.engine import processors
from harmonykit.arrange.survey.folder import Folder, opened
from harmonykit.arrange.survey.keys import read_tonics
from harmonykit.arrange.survey.opened import has_open
from harmonykit.arrange.survey.plan import all_levels
from harmonykit.arrange.survey.run import Told, Work, survey
from harmonykit.arrange.survey.table import (
    EASE,
    HAND,
    TUNE,
    check_measure,
    in_one_key,
    measured,
    read_survey,
    records,
)
from harmonykit.cli.survey.text import to_text
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.plots.survey_gains import draw_gains
from harmonykit.draw.plots.survey_map import draw_key_map
from harmonykit.draw.plots.survey_open import draw_open_shapes
from harmonykit.draw.plots.survey_profile import MOST_HANDS, draw_key_profile
from harmonykit.errors import HarmonyError
from harmonykit.files import shown
from harmonykit.files.carry import Carried
from harmonykit.files.names import slug
from harmonykit.fretboard.strings.instrument import Instrument, as_instrument

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was typed after ``harmonykit survey``."""

    paths: tuple[str, ...]
    out: Path
    keys: str = "all"
    instruments: str = "ukulele"
    levels: str = "all"
    by: str = EASE
    workers: int | None = None
    scheduler: str = ""
    retry: bool = False
    plots: bool = False


def run(wanted: Wanted) -> None:
    """Do a survey, or what is left of it, and print what it shows."""
    check_measure(wanted.by)
    asked = (read_tonics(wanted.keys), read_levels(wanted.levels))
    instruments = read_instruments(wanted.instruments)
    kept: list[Carried] = []
    with _bar() as told:
        survey(
            wanted.paths,
            wanted.out,
            instruments,
            tonics=asked[0],
            levels=asked[1],
            work=Work(
                workers=wanted.workers or processors(),
                scheduler=wanted.scheduler,
                retry=wanted.retry,
                progress=told,
                kept=kept.append,
            ),
        )
    table = read_survey(wanted.out)
    click.echo(to_text(table, wanted.out, wanted.by))
    if wanted.plots:
        with _bar() as told, opened(wanted.out) as folder:
            files = write_plots(table, folder, wanted.by, told)
            kept += folder.kept
        click.echo(f"\n{shown(wanted.out / 'plots')}: {files} figures")
    for each in kept:
        click.echo(f"{each}")


def read_levels(text: str) -> tuple[int, ...]:
    """Return typed levels, each once.

    Examples
    --------
    >>> read_levels("1,3"), read_levels("all")
    ((1, 3), (1, 2, 3))
    """
    if text.strip().casefold() == "all":
        return all_levels()
    words = [word.strip() for word in text.split(",")]
    if not all(word.isdecimal() and word.isascii() for word in words):
        raise HarmonyError(
            f"{text!r} are not levels", rule='"all", or numbers with commas between', mend="1,2"
        )
    return tuple(dict.fromkeys(int(word) for word in words))


def read_instruments(text: str) -> tuple[Instrument, ...]:
    """Return typed instruments, each once: names, or strings with octaves, commas between.

    Examples
    --------
    >>> [instrument.name for instrument in read_instruments("ukulele, guitar")]
    ['ukulele', 'guitar']
    """
    return tuple(dict.fromkeys(as_instrument(name.strip()) for name in text.split(",")))


@contextmanager
def _bar() -> Iterator[Told]:
    """Give a function that moves a bar on standard error; nothing shows without a terminal."""
    from tqdm import tqdm

    with tqdm(unit="task", leave=False, disable=not sys.stderr.isatty()) as bar:

        def told(done: int, total: int) -> None:
            if bar.total != total:
                # What was done before is no measure of the speed.
                bar.reset(total)
                bar.initial = done
            bar.update(done - bar.n)

        yield told


def interrupted(out: Path) -> str:
    """Return what is said when a survey was stopped."""
    return f"stopped; the results so far are kept in {out}: run the same command again to continue"


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
    if not in_one_key(table):
        yield from _of_keys(table, by)
    for hand in records(table[HAND].drop_duplicates()):
        name = f"gains-{slug(hand['instrument'])}-level-{hand['level']}"
        yield name, partial(draw_gains, table, **hand, by=by)


def _of_keys(table: pd.DataFrame, by: str) -> Iterator[Plot]:
    """Yield what compares the keys of each tune, and those of all."""
    tunes = [rows for _, rows in table.groupby(TUNE, sort=False, dropna=False)]
    digits = len(str(len(tunes)))
    for number, rows in enumerate(tunes, 1):
        name = f"keys-{number:0{digits}}-{slug(rows['title'].iloc[0])}"
        yield name, partial(draw_key_map, rows, by=by)
        if has_open(rows):
            yield f"open-{name.removeprefix('keys-')}", partial(draw_open_shapes, rows)
    for mode in dict.fromkeys(table["key"].str.split().str[-1]):
        for name, rows in _by_level(table):
            yield f"{mode}-keys-{name}", partial(draw_key_profile, rows, mode, by=by)


def _by_level(table: pd.DataFrame) -> Iterator[tuple[str, pd.DataFrame]]:
    """Yield the rows of each level, of as many instruments as one figure has room for."""
    instruments = list(dict.fromkeys(table["instrument"]))
    for level in sorted(set(table["level"])):
        for start in range(0, len(instruments), MOST_HANDS):
            some = instruments[start : start + MOST_HANDS]
            rows = table[(table["level"] == level) & table["instrument"].isin(some)]
            more = f"-{start // MOST_HANDS + 1}" if len(instruments) > MOST_HANDS else ""
            yield f"level-{level}{more}", rows
