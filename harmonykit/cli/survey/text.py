"""What a survey shows, in a few lines of text: best keys, keys on the whole, what gains most."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.about.text import WIDTH, printed
from harmonykit.arrange.survey.opened import has_open, open_finding
from harmonykit.arrange.survey.table import (
    HAND,
    PLAYED,
    TUNE,
    best_keys,
    class_keys,
    gains,
    in_one_key,
    key_profile,
    measure_for,
    measure_said,
    measured,
    records,
)
from harmonykit.words.numbers import counted

if TYPE_CHECKING:
    import pandas as pd

_MOST_TUNES, _MOST_KEYS, _MOST_GAINS = 20, 3, 5
_TITLE, _COLUMN = 28, 7
_SIGNS = "abcdefghijklmnopqrstuvwxyz"


def to_text(table: pd.DataFrame, out: Path, by: str = "") -> str:
    """Return what the command prints."""
    tunes, wrong = len(table[TUNE].drop_duplicates()), int((table["error"] != "").sum())
    by = measure_for(table, by)
    lines = [f"{out}: {counted(tunes, 'tune')}, {counted(len(table), 'row')} in survey.csv"]
    if wrong:
        lines.append(f"{counted(wrong, 'row')} without numbers: the column error says why")
    if wrong < len(table):
        alone = in_one_key(table)
        keys = (_alone(table, by),) if alone else (_best(table, by), _on_the_whole(table, by))
        keys = (*keys, _open(table)) if has_open(table) and not alone else keys
        for part in (*keys, _gains(table, by, "in its key" if alone else "in its best key")):
            lines += ["", *part]
    return "\n".join(lines)


def _best(table: pd.DataFrame, by: str) -> Iterator[str]:
    """Yield a line a tune: its best key for each hand, and for all of them together."""
    best = best_keys(table, by)
    hands = [tuple(hand) for hand in best[HAND].drop_duplicates().to_numpy()][: len(_SIGNS)]
    yield f"Best key by {measure_said(by)}:"
    for sign, (instrument, level) in zip(_SIGNS, hands, strict=False):
        yield f"  {sign}  {instrument}, level {level}"
    signs = "".join(f"{sign:>{_COLUMN}}" for sign in _SIGNS[: len(hands)])
    yield f"{'':{_TITLE}}written{signs}  for all"
    found = {_named(row, PLAYED): row for row in records(best)}
    together = class_keys(table, by)
    for row in records(together.head(_MOST_TUNES)):
        tune = _named(row, TUNE)
        cells = [found.get((*tune, *map(str, hand))) for hand in hands]
        keys = "".join(f"{_tonic(cell['key']) if cell else '-':>{_COLUMN}}" for cell in cells)
        written = next(_tonic(cell["written"]) for cell in cells if cell)
        yield f"{_short(row['title']):{_TITLE}}{written:>7}{keys}{_tonic(row['key']):>9}"
    if len(together) > _MOST_TUNES:
        yield f"and {len(together) - _MOST_TUNES} more in survey.csv"


def _alone(table: pd.DataFrame, by: str) -> Iterator[str]:
    """Yield a line a tune in its one key: its number for each hand."""
    rows = measured(table)
    hands = [tuple(hand) for hand in rows[HAND].drop_duplicates().to_numpy()][: len(_SIGNS)]
    yield f"{measure_said(by).capitalize()}, each tune in one key alone:"
    for sign, (instrument, level) in zip(_SIGNS, hands, strict=False):
        yield f"  {sign}  {instrument}, level {level}"
    yield f"{'':{_TITLE}}{'key':>7}" + "".join(f"{s:>{_COLUMN}}" for s in _SIGNS[: len(hands)])
    found = {_named(row, PLAYED): row for row in records(rows)}
    tunes = records(rows.drop_duplicates(TUNE))
    for row in tunes[:_MOST_TUNES]:
        cells = [found.get((*_named(row, TUNE), *map(str, hand))) for hand in hands]
        numbers = "".join(f"{f'{cell[by]:.1f}' if cell else '-':>{_COLUMN}}" for cell in cells)
        yield f"{_short(row['title']):{_TITLE}}{_tonic(row['key']):>7}{numbers}"
    if len(tunes) > _MOST_TUNES:
        yield f"and {len(tunes) - _MOST_TUNES} more in survey.csv"


def _on_the_whole(table: pd.DataFrame, by: str) -> Iterator[str]:
    """Yield for each mode and hand the keys that are least above the best."""
    yield "Percent more than in a tune's own best key, on average; in brackets, of how many"
    yield "tunes the key is the best (keys with shapes beyond the limits in most tunes come"
    yield "last):"
    profile = key_profile(table, by)
    for mode in dict.fromkeys(profile["mode"]):
        of_mode = profile[profile["mode"] == mode]
        yield f"  {counted(int(of_mode['tunes'].max()), f'{mode} tune')}"
        for (instrument, level), keys in of_mode.groupby(HAND, sort=False):
            strained = keys.assign(strained=2 * keys["past"] > keys["tunes"])
            nearest = strained.sort_values(["strained", "over"], kind="stable").head(_MOST_KEYS)
            told = "   ".join(
                f"{_tonic(key['key']):3}{key['over']:+4.0f} % ({key['best']})"
                for key in records(nearest)
            )
            yield f"    {f'{instrument}, level {level}':24}{told}"


def _open(table: pd.DataFrame) -> Iterator[str]:
    """Yield whether open strings make a key easy."""
    said = f"Open strings: {open_finding(table)}."
    yield from textwrap.wrap(said, WIDTH, subsequent_indent="  ")


def _gains(table: pd.DataFrame, by: str, where: str) -> Iterator[str]:
    yield f"Tunes that gain most (fewer semitones a change, each {where}):"
    for row in records(gains(measured(table), by).head(_MOST_GAINS)):
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
