"""What ``harmonykit survey`` does: read what was asked, work with a bar, say what came out."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import click

from harmonykit.arrange.survey import read_survey, survey
from harmonykit.arrange.survey.engine import processors
from harmonykit.arrange.survey.folder import opened
from harmonykit.arrange.survey.keys import read_tonics
from harmonykit.arrange.survey.plan import all_levels
from harmonykit.arrange.survey.run import Told
from harmonykit.arrange.survey.table import check_measure
from harmonykit.cli.chord.about import read_instrument
from harmonykit.cli.survey.text import to_text
from harmonykit.errors import HarmonyError
from harmonykit.files import shown
from harmonykit.files.carry import Carried
from harmonykit.fretboard.strings.instrument import Instrument


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was typed after ``harmonykit survey``."""

    paths: tuple[str, ...]
    out: Path
    keys: str = "all"
    instruments: str = "ukulele"
    levels: str = "all"
    by: str = "cost"
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
            workers=wanted.workers or processors(),
            scheduler=wanted.scheduler,
            retry=wanted.retry,
            progress=told,
            kept=kept.append,
        )
    table = read_survey(wanted.out)
    click.echo(to_text(table, wanted.out, wanted.by))
    if wanted.plots:
        from harmonykit.cli.survey.plots import write_plots

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
            f"{text!r} are no levels", rule='"all", or numbers with commas between', mend="1,2"
        )
    return tuple(dict.fromkeys(int(word) for word in words))


def read_instruments(text: str) -> tuple[Instrument, ...]:
    """Return typed instruments, each once: names, or strings with octaves, commas between.

    Examples
    --------
    >>> [instrument.name for instrument in read_instruments("ukulele, guitar")]
    ['ukulele', 'guitar']
    """
    return tuple(dict.fromkeys(read_instrument(name.strip()) for name in text.split(",")))


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
    return f"stopped; what is done is kept in {out}: the same command goes on from there"
