"""What ``harmonykit survey`` does: read what was asked, work with a bar, say what came out.

The figures of a survey go into a folder beside its table.
"""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from harmonykit.about.text import WIDTH, printed
from harmonykit.arrange.survey import table as tables
from harmonykit.arrange.survey.engine import processors
from harmonykit.arrange.survey.folder import Folder, opened
from harmonykit.arrange.survey.opened import has_open, open_finding
from harmonykit.arrange.survey.plan import all_levels, read_tonics
from harmonykit.arrange.survey.run import Told, Work, survey
from harmonykit.cli.called import as_called
from harmonykit.cli.commands.typed import say
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.plots import survey_map, survey_open
from harmonykit.draw.plots.survey_tunes import MOST_HANDS, draw_gains, draw_key_profile
from harmonykit.errors import HarmonyError
from harmonykit.files import file, manifest, shown
from harmonykit.fretboard.strings.instrument import Instrument, as_instrument
from harmonykit.score.files import TYPED
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted, join_words

if TYPE_CHECKING:
    import pandas as pd

_MOST_TUNES, _MOST_KEYS, _MOST_GAINS, _MOST_FAILED = 20, 3, 5, 5
# What is told with two decimals is told from here on.
_LEAST_GAIN = 0.005
_TITLE, _COLUMN = 28, 7
_SIGNS = "abcdefghijklmnopqrstuvwxyz"


def to_text(table: pd.DataFrame, out: Path, by: str = "") -> str:
    """Return what the command prints."""
    tunes, wrong = len(table[tables.TUNE].drop_duplicates()), int((table["error"] != "").sum())
    by = tables.measure_for(table, by)
    lines = [f"{out}: {counted(tunes, 'tune')}, {counted(len(table), 'row')} in survey.csv"]
    if wrong:
        lines.append(f'{counted(wrong, "row")} without results: see the column "error"')
        lines += _failed(table)
    if wrong < len(table):
        alone = tables.in_one_key(table)
        keys = (_alone(table, by),) if alone else (_best(table, by), _on_the_whole(table, by))
        keys = (*keys, _open(table)) if has_open(table) and not alone else keys
        for part in (*keys, _gains(table, by, "in its key" if alone else "in its best key")):
            lines += ["", *part]
    return "\n".join(lines)


def _failed(table: pd.DataFrame) -> Iterator[str]:
    """Yield a few of the files without results, each with what is wrong with it."""
    rows = table[table["error"] != ""].drop_duplicates(["file", "error"])
    for row in tables.records(rows.head(_MOST_FAILED)):
        said = f"{row['file']}: {row['error']}"
        yield from textwrap.wrap(said, WIDTH, initial_indent="  ", subsequent_indent="    ")
    if len(rows) > _MOST_FAILED:
        yield f"  and {len(rows) - _MOST_FAILED} more"


def _best(table: pd.DataFrame, by: str) -> Iterator[str]:
    """Yield a line a tune: its best key for each hand, and for all of them together."""
    best = tables.best_keys(table, by)
    hands = [tuple(hand) for hand in best[tables.HAND].drop_duplicates().to_numpy()][: len(_SIGNS)]
    yield f"Best key by {tables.measure_said(by)}:"
    for sign, (instrument, level) in zip(_SIGNS, hands, strict=False):
        yield f"  {sign}  {instrument}, level {level}"
    signs = "".join(f"{sign:>{_COLUMN}}" for sign in _SIGNS[: len(hands)])
    yield f"{'':{_TITLE}}written{signs}  for all"
    found = {_named(row, tables.PLAYED): row for row in tables.records(best)}
    together = tables.class_keys(table, by)
    for row in tables.records(together.head(_MOST_TUNES)):
        tune = _named(row, tables.TUNE)
        cells = [found.get((*tune, *map(str, hand))) for hand in hands]
        keys = "".join(f"{_tonic(cell['key']) if cell else '-':>{_COLUMN}}" for cell in cells)
        written = next(_tonic(cell["written"]) for cell in cells if cell)
        yield f"{_short(row['title']):{_TITLE}}{written:>7}{keys}{_tonic(row['key']):>9}"
    if len(together) > _MOST_TUNES:
        yield f"and {len(together) - _MOST_TUNES} more in survey.csv"


def _alone(table: pd.DataFrame, by: str) -> Iterator[str]:
    """Yield a line a tune in its one key: its number for each hand."""
    rows = tables.measured(table)
    hands = [tuple(hand) for hand in rows[tables.HAND].drop_duplicates().to_numpy()][: len(_SIGNS)]
    yield f"{tables.measure_said(by).capitalize()}, each tune in one key only:"
    for sign, (instrument, level) in zip(_SIGNS, hands, strict=False):
        yield f"  {sign}  {instrument}, level {level}"
    yield f"{'':{_TITLE}}{'key':>7}" + "".join(f"{s:>{_COLUMN}}" for s in _SIGNS[: len(hands)])
    found = {_named(row, tables.PLAYED): row for row in tables.records(rows)}
    tunes = tables.records(rows.drop_duplicates(tables.TUNE))
    for row in tunes[:_MOST_TUNES]:
        cells = [found.get((*_named(row, tables.TUNE), *map(str, hand))) for hand in hands]
        numbers = "".join(f"{f'{cell[by]:.1f}' if cell else '-':>{_COLUMN}}" for cell in cells)
        yield f"{_short(row['title']):{_TITLE}}{_tonic(row['key']):>7}{numbers}"
    if len(tunes) > _MOST_TUNES:
        yield f"and {len(tunes) - _MOST_TUNES} more in survey.csv"


def _on_the_whole(table: pd.DataFrame, by: str) -> Iterator[str]:
    """Yield for each mode and hand the keys that are least above the best."""
    yield "Percent more than in a tune's own best key, on average; in brackets, the number"
    yield "of tunes for which the key is the best (keys with shapes beyond the limits in"
    yield "most tunes come last):"
    profile = tables.key_profile(table, by)
    for mode in dict.fromkeys(profile["mode"]):
        of_mode = profile[profile["mode"] == mode]
        yield f"  {counted(int(of_mode['tunes'].max()), f'{mode} tune')}"
        for (instrument, level), keys in of_mode.groupby(tables.HAND, sort=False):
            strained = keys.assign(strained=2 * keys["past"] > keys["tunes"])
            nearest = strained.sort_values(["strained", "over"], kind="stable").head(_MOST_KEYS)
            told = "   ".join(
                f"{_tonic(key['key']):3}{key['over']:+4.0f} % ({key['best']})"
                for key in tables.records(nearest)
            )
            yield f"    {f'{instrument}, level {level}':23} {told}"


def _open(table: pd.DataFrame) -> Iterator[str]:
    """Yield whether open strings make a key easy."""
    said = f"Open strings: {open_finding(table)}."
    yield from textwrap.wrap(said, WIDTH, subsequent_indent="  ")


def _gains(table: pd.DataFrame, by: str, where: str) -> Iterator[str]:
    found = tables.gains(tables.measured(table), by)
    more = tables.records(found[found["gain"] >= _LEAST_GAIN].head(_MOST_GAINS))
    if not more:
        yield f"No tune gains by added chords: its voices move no less ({where})."
        return
    yield f"Tunes that gain most (fewer semitones a change, each {where}):"
    for row in more:
        yield from textwrap.wrap(
            f"{row['gain']:5.2f}  {row['title']} in {printed(row['key'])}, {row['instrument']}, "
            f"level {row['level']}: {counted(row['added'], 'chord')} added",
            WIDTH,
            initial_indent="  ",
            subsequent_indent="         ",
        )


def _named(row: dict[str, Any], columns: list[str]) -> tuple[str, ...]:
    """Return what tells a row from others, as texts: a missing number equals no other."""
    return tuple(str(row[name]) for name in columns)


def _tonic(key: str) -> str:
    tonic, _, mode = key.partition(" ")
    return printed(tonic) + ("m" if mode == "minor" else "")


def _short(title: str) -> str:
    return title if len(title) < _TITLE else title[: _TITLE - 2] + "…"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What was typed after ``harmonykit survey``."""

    paths: tuple[str, ...]
    out: Path
    keys: str = "all"
    instruments: str = "ukulele"
    levels: str = "all"
    by: str = tables.EASE
    workers: int | None = None
    scheduler: str = ""
    retry: bool = False
    plots: bool = False


def run(wanted: Wanted) -> None:
    """Do a survey, or what is left of it, and print what it shows."""
    tables.check_measure(wanted.by)
    asked = (read_tonics(wanted.keys), read_levels(wanted.levels))
    instruments = read_instruments(wanted.instruments)
    kept: list[manifest.Carried] = []
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
    table = tables.read_survey(wanted.out)
    click.echo(to_text(table, wanted.out, wanted.by))
    if wanted.plots:
        with _bar() as told, opened(wanted.out) as folder:
            files = write_plots(table, folder, wanted.by, told)
            kept += folder.kept
        click.echo(f"\n{shown(wanted.out / 'plots')}: {files} figures")
    say(map(str, kept))
    say(_not_read(wanted.paths))


def _not_read(paths: Iterable[str]) -> Iterator[str]:
    """Yield which messages a folder holds, that are read only where they are named."""
    inside = (file for path in paths for file in sorted(Path(path).rglob(f"*{TYPED}")))
    if found := [file for file in inside if str(file) not in paths]:
        named = join_words([file.name for file in found[:_MOST_FAILED]])
        more = f" and {len(found) - _MOST_FAILED} more" if len(found) > _MOST_FAILED else ""
        said = f"Not read: {named}{more}. A {TYPED} file of a tune is read where it is named: "
        said += f"harmonykit survey {found[0]} ..."
        yield ""
        yield from textwrap.wrap(as_called(said), WIDTH, break_on_hyphens=False)


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
            f"{text!r} is not a list of levels",
            rule='"all", or numbers separated by commas',
            mend="1,2",
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
    plots = [*_plots(tables.measured(table), by)]

    def drawn() -> Iterator[tuple[str, str]]:
        for done, (name, draw) in enumerate(plots):
            told(done, len(plots))
            yield f"{PLOTS}/{name}.svg", draw().as_file()

    folder.add(drawn())
    told(len(plots), len(plots))
    return len(plots)


def _plots(table: pd.DataFrame, by: str) -> Iterator[Plot]:
    """Yield the name of each figure, and what draws it."""
    if not tables.in_one_key(table):
        yield from _of_keys(table, by)
    for hand in tables.records(table[tables.HAND].drop_duplicates()):
        name = f"gains-{file.slug(hand['instrument'])}-level-{hand['level']}"
        yield name, partial(draw_gains, table, **hand, by=by)


def _of_keys(table: pd.DataFrame, by: str) -> Iterator[Plot]:
    """Yield what compares the keys of each tune, and those of all."""
    tunes = [rows for _, rows in table.groupby(tables.TUNE, sort=False, dropna=False)]
    digits = len(str(len(tunes)))
    for number, rows in enumerate(tunes, 1):
        name = f"keys-{number:0{digits}}-{file.slug(rows['title'].iloc[0])}"
        yield name, partial(survey_map.draw_key_map, rows, by=by)
        if has_open(rows):
            yield f"open-{name.removeprefix('keys-')}", partial(survey_open.draw_open_shapes, rows)
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
