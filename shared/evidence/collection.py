"""The collections as scripts read them: a folder with the files named below, never committed.

``progressions.tsv``: tune, metre, key, ``bar.beat:symbol``.  ``guitar_playability.tsv``: among
others, bars with Harte labels.
"""

from __future__ import annotations

import csv
import json
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from harmonykit.evidence.keys import Heard, merged
from harmonykit.evidence.kinds import FOLDER, JAZZ, PLAIN
from harmonykit.score.labels import read_harte
from harmonykit.theory.chord import read_symbol
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import hear

JAZZ_SOURCE = (
    "D. Harasim, C. Finkensiep, P. Ericson, T. J. O'Donnell, M. Rohrmeier, \"The Jazz Harmony "
    'Treebank", ISMIR 2020; half of its tunes'
)
JAZZ_LICENCE = "CC BY-NC-SA 4.0"
PLAIN_SOURCE = "McGill Billboard annotations: chord labels of 96 songs"
PLAIN_LICENCE = "CC0"
_ALIKE = 0.5


@dataclass(frozen=True)
class Piece:
    """A tune of a collection: its key where it is known, its chords without repeats, its bars."""

    name: str
    key: tuple[int, str] | None
    row: tuple[Heard, ...]
    bars: int


def jazz_pieces(folder: Path) -> list[Piece]:
    """Return the jazz tunes, in the order of the file."""
    return [_jazz(row) for row in rows_of(folder / "progressions.tsv")]


def rows_of(path: Path) -> list[dict[str, str]]:
    """Return the rows of a table of a collection, each by column name."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE))


def _jazz(given: dict[str, str]) -> Piece:
    key = Key.parse(given["key"])
    row, last = [], 1
    for said in given["chords (bar.beat:symbol)"].split():
        place, symbol = said.split(":", 1)
        bar, beat = map(int, place.split("."))
        chord, last = read_symbol(symbol).chord, bar
        if chord is not None:
            row.append(hear(chord, JAZZ, bar - 1, strong=beat == 1))
    return Piece(given["tune"], (key.tonic.pitch_class, key.mode), tuple(merged(row)), last)


def plain_pieces(folder: Path) -> list[Piece]:
    """Return the popular songs, counted as triads; their keys are not told."""
    return [_plain(row) for row in rows_of(folder / "guitar_playability.tsv")]


def _plain(given: dict[str, str]) -> Piece:
    bars = [each.split() for each in given["bars (Harte labels)"].strip(" |").split("|")]
    row = []
    for number, bar in enumerate(bars):
        for place, said in enumerate(each for each in bar if not each.startswith("(")):
            if ":" in said:
                chord = read_harte(said)
                if chord is not None:
                    row.append(hear(chord, PLAIN, number, strong=place == 0))
    return Piece(given["song"], None, tuple(merged(row)), len(bars))


def twins(pieces: Sequence[Piece]) -> list[int]:
    """Return a number for each piece, the same for those that share half of their four-chord rows.

    Rows are told from their first root, kinds by family.
    """
    rows = [Counter(_rows_of_four(piece)) for piece in pieces]
    group = list(range(len(pieces)))
    for later, one in enumerate(rows):
        for earlier in range(later):
            shared = (one & rows[earlier]).total()
            if shared and shared >= _ALIKE * (one.total() + rows[earlier].total() - shared):
                old, new = group[later], group[earlier]
                group = [new if each == old else each for each in group]
    return group


def _rows_of_four(piece: Piece) -> Iterator[tuple[tuple[int, str], ...]]:
    for n in range(len(piece.row) - 3):
        four = piece.row[n : n + 4]
        yield tuple(((each.root - four[0].root) % 12, each.family) for each in four)


def folds(groups: Sequence[int], count: int, seed: int) -> np.ndarray:
    """Return the fold of each piece; twins are in one."""
    names = sorted(set(groups))
    drawn = np.random.default_rng(seed).permutation(len(names)) % count
    where = dict(zip(names, drawn, strict=True))
    return np.array([where[each] for each in groups])


def write_table(name: str, table: dict[str, object]) -> None:
    """Write a table into the package, the same bytes each time."""
    text = json.dumps(table, ensure_ascii=False, separators=(",", ":"))
    (FOLDER / f"{name}.json").write_text(text.replace('},"', '},\n"') + "\n", encoding="utf-8")


def folder_given() -> Path:
    """Return the folder that a script was given as its argument."""
    if len(sys.argv) != 2 or not Path(sys.argv[1]).is_dir():
        raise SystemExit(f"usage: python {sys.argv[0]} FOLDER, the folder of the collections")
    return Path(sys.argv[1])
