"""Fit how hard songs are to play on ratings: ``fit_playability.py FOLDER``.

Each chord is played with its first usual shape.  The model is a linear one with a small ridge; a
song and its twins are left out together, and ranked by weights fitted on the others.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from collection import folder_given, plain_pieces, rows_of, twins, write_table
from numpy.typing import NDArray

from harmonykit.arrange.playability import Held, first_shape, song_features
from harmonykit.fretboard.hands.difficulty import difficulty
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.labels import read_harte
from harmonykit.theory.chord import Chord

SOURCE = (
    "M. A. Vélez Vásquez, M. Baelemans, J. Driedger, W. Zuidema, J. A. Burgoyne, "
    '"Quantifying the Ease of Playing Song Chords on the Guitar", ISMIR 2023 (half of its songs); '
    "labels: McGill Billboard annotations"
)
LICENCE = "ratings: none stated, five rounded weights are kept; labels: CC0"
UNITS = {
    "variety": "bits",
    "kinds": "kinds of chord",
    "uncommon": "of the time",
    "rate": "changes a second (log2)",
    "hand": "marks",
}
NAMES = tuple(UNITS)
# Tried, and not in the model: see ``evaluate``.
TRIED = ("barre", "fingers", "open", "level", "shapes", "travel")
RIDGE = 3.0
SAMPLES, EXCHANGES = 2000, 9999
_METRE = re.compile(r"\((\d+)/\d+\)")
_SILENT = ("N", "*", "&pause")
Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Song:
    """A song: its rating, its features, what was tried, and how many labels it has."""

    name: str
    rating: float
    row: tuple[float, ...]
    extra: tuple[float, ...]
    labels: int


def read_songs(folder: Path) -> list[Song]:
    """Return the songs with their features."""
    return [_song(list(row.values())) for row in rows_of(folder / "guitar_playability.tsv")]


def _song(line: Sequence[str]) -> Song:
    seconds, rating, bars = float(line[1]), float(line[2]), line[-1]
    labels = [(label, beats) for label, beats in read_bars(bars) if label not in _SILENT]
    steps = [(*_played(label), beats) for label, beats in labels]
    row = song_features(steps, seconds)
    names = {label for label, _ in labels}
    return Song(line[0], rating, row, _extra(steps, seconds), len(names))


def read_bars(text: str) -> list[tuple[str, float]]:
    """Return each label with its beats; a dot holds the label before it for another share.

    A bar of four beats is shared equally among its labels and dots.
    """
    found: list[tuple[str, float]] = []
    for bar in text.split("|"):
        words = bar.split()
        metre = _METRE.fullmatch(words[0]) if words else None
        signs = words[1:] if metre else words
        for sign in signs:
            beats = (int(metre[1]) if metre else 4) / len(signs)
            if sign == "." and found:
                found[-1] = (found[-1][0], found[-1][1] + beats)
            else:
                found.append((sign, beats))
    return found


@cache
def _played(label: str) -> tuple[Chord, Voicing]:
    chord = read_harte(label)
    assert chord is not None
    return chord, first_shape(chord, Instrument.named("guitar"))


def _extra(steps: Sequence[Held], seconds: float) -> tuple[float, ...]:
    """Return barre, fingers, open, level, shapes and travel: what was tried and is left out."""
    total = sum(time for *_, time in steps)
    parts = [(difficulty(shape), shape, time / total) for _, shape, time in steps]
    moved = sum(_travel(a, b) for (_, a, _), (_, b, _) in pairwise(steps))
    return (
        sum(share for part, _, share in parts if max(part.barres, default=0) > 2),
        sum(share * part.fingers for part, _, share in parts),
        sum(share * shape.frets.count(0) / len(shape.sounding) for _, shape, share in parts),
        sum(share * (part.level or 4) for part, _, share in parts),
        float(len({shape for _, shape, _ in steps})),
        moved / seconds,
    )


@cache
def _travel(a: Voicing, b: Voicing) -> float:
    from harmonykit.fretboard.hands.travel import travel_mm

    return travel_mm(a, b)


def fit(rows: Numbers, ratings: Numbers) -> tuple[float, Numbers, Numbers]:
    """Return the base, the weights and their standard errors."""
    mean, scale = rows.mean(axis=0), rows.std(axis=0)
    scale[scale == 0] = 1.0
    units = (rows - mean) / scale
    inverse = np.linalg.inv(units.T @ units + RIDGE * np.eye(units.shape[1]))
    weights = inverse @ units.T @ (ratings - ratings.mean())
    left = ratings - ratings.mean() - units @ weights
    noise = float(left @ left) / (len(ratings) - units.shape[1] - 1)
    errors = np.sqrt(noise * np.diag(inverse @ units.T @ units @ inverse))
    return float(ratings.mean() - weights @ (mean / scale)), weights / scale, errors / scale


def left_out(rows: Numbers, ratings: Numbers, groups: Sequence[int]) -> Numbers:
    """Return the number of each song by weights fitted on all but its family.

    The base is the same for all: a mean that lacks a song would say something of it.
    """
    middle = rows.mean(axis=0)
    found = np.zeros(len(ratings))
    for group in set(groups):
        own = np.array([each == group for each in groups])
        _, weights, _ = fit(rows[~own], ratings[~own])
        found[own] = (rows[own] - middle) @ weights
    return found


def rank_correlation(a: Numbers, b: Numbers) -> float:
    """Return Spearman's correlation; equals share their rank."""
    return float(np.corrcoef(_ranks(a), _ranks(b))[0, 1])


def _ranks(values: Numbers) -> Numbers:
    _, places, counts = np.unique(values, return_inverse=True, return_counts=True)
    ends = np.cumsum(counts)
    ranks: Numbers = (ends - (counts - 1) / 2)[places]
    return ranks


def resampled(
    ratings: Numbers, numbers: Numbers, other: Numbers, groups: Sequence[int]
) -> tuple[Numbers, Numbers]:
    """Return the correlations of two numbers with the ratings, over samples of the families."""
    chance = np.random.default_rng(17)
    members = [np.flatnonzero(np.array(groups) == group) for group in sorted(set(groups))]
    pairs = []
    for _ in range(SAMPLES):
        drawn = chance.integers(0, len(members), len(members))
        rows = np.concatenate([members[n] for n in drawn])
        pairs.append([rank_correlation(each[rows], ratings[rows]) for each in (numbers, other)])
    found = np.array(pairs)
    return found[:, 0], found[:, 1]


def exchanged(ratings: Numbers, numbers: Numbers, other: Numbers, groups: Sequence[int]) -> float:
    """Return how often a gain as large comes by chance: a paired permutation test, two-sided.

    If two numbers told ratings alike, their ranks could be exchanged, song by song; twins are
    exchanged together.
    """
    chance = np.random.default_rng(18)
    one, two, right = _ranks(numbers), _ranks(other), _ranks(ratings)
    names = sorted(set(groups))
    where = np.array([names.index(group) for group in groups])

    def gain(a: Numbers, b: Numbers) -> float:
        return float(np.corrcoef(a, right)[0, 1] - np.corrcoef(b, right)[0, 1])

    seen, more = abs(gain(one, two)), 1
    for _ in range(EXCHANGES):
        turned = chance.integers(0, 2, len(names)).astype(bool)[where]
        a, b = np.where(turned, two, one), np.where(turned, one, two)
        more += abs(gain(a, b)) >= seen - 1e-12
    return more / (EXCHANGES + 1)


def table(songs: Sequence[Song]) -> dict[str, Any]:
    """Return what is committed: a rounded weight a feature, its error, and how many songs."""
    rows = np.array([song.row for song in songs])
    base, weights, errors = fit(rows, np.array([song.rating for song in songs]))
    found = []
    for name, weight, error in zip(NAMES, weights, errors, strict=True):
        digits = 1 - int(np.floor(np.log10(error)))
        value, rounded = round(float(weight), digits), round(float(error), digits)
        unit = UNITS[name]
        found.append(
            {"name": name, "unit": unit, "value": value, "error": rounded, "cases": len(songs)}
        )
    script = "shared/evidence/fit_playability.py"
    return {
        "source": SOURCE,
        "licence": LICENCE,
        "script": script,
        "base": round(base, 1),
        "weights": found,
    }


def evaluate(folder: Path) -> Iterator[str]:
    """Yield the figures of the model, each with its standard error."""
    songs = read_songs(folder)
    groups = twins(plain_pieces(folder))
    ratings = np.array([song.rating for song in songs])
    rows = np.array([song.row for song in songs])
    extra = np.array([song.extra for song in songs])
    labels = np.array([float(song.labels) for song in songs])
    yield f"playability: {len(songs)} songs in {len(set(groups))} families of twins"
    for row in table(songs)["weights"]:
        yield "  {name:9} {value:g} ± {error:g} a unit ({unit}), {cases} songs".format(**row)

    def compared(columns: Numbers) -> str:
        numbers = left_out(columns, ratings, groups)
        own, alone = resampled(ratings, numbers, labels, groups)
        gain = rank_correlation(numbers, ratings) - rank_correlation(labels, ratings)
        return (
            f"{rank_correlation(numbers, ratings):.3f} ± {own.std():.3f}, above labels alone by "
            f"{gain:+.3f} ± {(own - alone).std():.3f} (not above in "
            f"{100 * float((own <= alone).mean()):.1f} % of samples; ranks exchanged: "
            f"p = {exchanged(ratings, numbers, labels, groups):.4f})"
        )

    _, alone = resampled(ratings, labels, labels, groups)
    said = f"{rank_correlation(labels, ratings):.3f} ± {alone.std():.3f}"
    yield f"  rank correlation of distinct labels alone: {said}"
    yield f"  rank correlation, a family left out: {compared(rows)}"
    squares = (left_out(rows, ratings, groups) + ratings.mean() - ratings) ** 2
    miss = np.sqrt(squares.mean())
    error = squares.std() / math.sqrt(len(squares)) / (2 * miss)
    yield f"  the number misses a rating by {miss:.1f} ± {error:.1f} (root mean square)"
    for n, name in enumerate(NAMES):
        yield f"    without {name}: {compared(np.delete(rows, n, axis=1))}"
    for n, name in enumerate(TRIED):
        yield f"    with {name}: {compared(np.column_stack([rows, extra[:, n]]))}"


if __name__ == "__main__":
    write_table("playability", table(read_songs(folder_given())))
