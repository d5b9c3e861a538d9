"""Print how well keys and changes are told: ``evaluate_harmony.py FOLDER``.

Tunes are left out in folds that keep twins together; every figure has its standard error.  Keys are
fitted on one half and judged on the other, five times; changes in five folds.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

import numpy as np
from collection import Piece, folder_given, folds, jazz_pieces, plain_pieces, twins
from count_harmony import count_chains, harmony, with_key
from fit_keys import KeyFit, keys_told

from harmonykit.evidence.harmony import move
from harmonykit.evidence.heard import chain_name
from harmonykit.evidence.keys import MINOR
from harmonykit.evidence.kinds import JAZZ, KINDS, PLAIN

_SEEDS = 5
FOLDS = 5
_BACK_OFF = 5.0
_CHANCE = 1 / (12 * len(KINDS[JAZZ]))


def key_figures(pieces: Sequence[Piece]) -> Iterator[str]:
    """Yield how often the key is found, for all tunes and for kinds of them."""
    groups, right = twins(pieces), keys_told(pieces)
    yield f"keys: {len(pieces)} tunes in {len(set(groups))} groups of twins"
    runs = [_by_halves(pieces, groups, seed) for seed in range(_SEEDS)]
    hits = np.mean([run.argmax(1) == right for run in runs], axis=0)
    named = np.mean([_named(run, right) for run in runs], axis=0)
    at = np.arange(len(pieces))
    losses = np.mean([-np.log(run[at, right]) for run in runs], axis=0)
    yield f"  key and mode, two-fold: {_share(hits)}"
    yield f"  among three at most of 5 % or more: {_share(named)}"
    yield f"  log loss: {_mean(losses)} (natural; 24 keys alike: {math.log(24):.2f})"
    for name, chosen in (
        ("major", [piece.key is not None and piece.key[1] != MINOR for piece in pieces]),
        ("minor", [piece.key is not None and piece.key[1] == MINOR for piece in pieces]),
        ("twelve bars, I and IV in bars 1 and 5", [_is_blues(piece) for piece in pieces]),
        ("turnaround at the end", [_turns_round(piece) for piece in pieces]),
        ("six kinds of chord and root or fewer", [_is_vamp(piece) for piece in pieces]),
    ):
        where = np.array(chosen)
        yield f"    {name}, {where.sum()} tunes: {_share(hits[where])}, {_mean(losses[where])}"
    yield from _calibration(runs, right)
    yield f"  naive Bayes on pairs of degree and kind: {_share(_naive(pieces, groups, right))}"
    first = [_first_chord(piece) == number for piece, number in zip(pieces, right, strict=True)]
    yield f"  the first chord as tonic: {_share(np.array(first, dtype=float))}"


def _by_halves(pieces: Sequence[Piece], groups: Sequence[int], seed: int) -> np.ndarray:
    fold, found = folds(groups, 2, seed), np.zeros((len(pieces), 24))
    for half in (0, 1):
        fit = KeyFit([piece for piece, n in zip(pieces, fold, strict=True) if n != half])
        found[fold == half] = fit.probabilities(_in(pieces, fold, half))
    return found


def _in(pieces: Sequence[Piece], fold: np.ndarray, number: int) -> list[Piece]:
    return [piece for piece, n in zip(pieces, fold, strict=True) if n == number]


def _named(run: np.ndarray, right: np.ndarray) -> np.ndarray:
    order = run.argsort(1)[:, ::-1]
    named = [
        any(key == told and (not n or row[key] >= 0.05) for n, key in enumerate(first[:3]))
        for row, first, told in zip(run, order, right, strict=True)
    ]
    return np.array(named)


def _calibration(runs: Sequence[np.ndarray], right: np.ndarray) -> Iterator[str]:
    best = np.concatenate([run.max(1) for run in runs])
    hits = np.concatenate([run.argmax(1) == right for run in runs])
    for low, high in ((0, 0.5), (0.5, 0.8), (0.8, 0.95), (0.95, 1.01)):
        where = (best >= low) & (best < high)
        said, count = best[where].mean(), where.sum() // len(runs)
        true = 100 * hits[where]
        error = true.std() / math.sqrt(max(count, 1))
        yield f"    said {said:.0%}, right {true.mean():.0f} ± {error:.0f} % ({count} tunes)"


def _is_blues(piece: Piece) -> bool:
    at = [n for n, each in enumerate(piece.row) if each.bar <= 4]
    fourth = piece.row[at[-1]]
    return piece.bars % 12 == 0 and (fourth.root - piece.row[0].root) % 12 == 5


def _turns_round(piece: Piece) -> bool:
    last, first = piece.row[-1], piece.row[0]
    return last.family == "D" and (last.root - first.root) % 12 in (7, 1)


def _is_vamp(piece: Piece) -> bool:
    return len({(each.root, each.kind) for each in piece.row}) <= 6


def _first_chord(piece: Piece) -> int:
    return piece.row[0].root + 12 * (piece.row[0].family == "m")


def _naive(pieces: Sequence[Piece], groups: Sequence[int], right: np.ndarray) -> np.ndarray:
    fold, hits = folds(groups, 2, 0), np.zeros(len(pieces))
    for half in (0, 1):
        counts: list[Counter[object]] = [Counter(), Counter()]
        for piece, number, there in zip(pieces, right, fold, strict=True):
            if there != half:
                counts[number // 12].update(_pairs(piece, number % 12))
        kinds = len({*counts[0], *counts[1]}) + 1
        for n in map(int, np.flatnonzero(fold == half)):
            points = [
                sum(
                    math.log((count[pair] + 0.5) / (count.total() + 0.5 * kinds))
                    for pair in _pairs(pieces[n], tonic)
                )
                for count in counts
                for tonic in range(12)
            ]
            hits[n] = int(np.argmax(points)) == right[n]
    return hits


def _pairs(piece: Piece, tonic: int) -> Iterator[object]:
    for one, two in zip(piece.row, [*piece.row[1:], piece.row[0]], strict=True):
        yield (one.root - tonic) % 12, one.kind, (two.root - tonic) % 12, two.kind


def harmony_figures(pieces: Sequence[Piece], style: str) -> Iterator[str]:
    """Yield the bits of a change by the judge and by the model, and the share never heard."""
    groups = twins(pieces)
    fold = folds(groups, FOLDS, 0)
    yield f"changes, {style}: {sum(len(piece.row) - 1 for piece in pieces):,} of {len(pieces)}"
    judged, told = [np.zeros(len(pieces)) for _ in range(2)]
    unheard = np.zeros(len(pieces))
    for number in range(FOLDS):
        rest = [piece for piece, n in zip(pieces, fold, strict=True) if n != number]
        told_by, model, chains = judge(rest), harmony(rest, style), count_chains(rest)
        for n in map(int, np.flatnonzero(fold == number)):
            piece = pieces[n]
            if piece.key is None:
                raise ValueError(f"{piece.name} has no key")
            judged[n] = sum(told_by(piece))
            told[n] = sum(model.bits(piece.row, piece.key))
            pairs = zip(piece.row, piece.row[1:], strict=False)
            unheard[n] = sum(chain_name(pair) not in chains for pair in pairs)
    counts = np.array([len(piece.row) - 1 for piece in pieces])
    yield f"  bits per change by the judge (bigram, back-off 5): {_ratio(judged, counts)}"
    yield f"  the model: {_ratio(told, counts)}; less by {_ratio(judged - told, counts)}"
    bars = np.array([piece.bars for piece in pieces])
    yield f"  a bar: the judge {_ratio(judged, bars)}, the model {_ratio(told, bars)}"
    yield f"  pairs heard in fewer than three other tunes: {_ratio(100 * unheard, counts)} %"


def judge(pieces: Iterable[Piece]) -> Callable[[Piece], Iterator[float]]:
    """Return the fixed judge, counted in some pieces: bits of each change of a piece."""
    pairs: dict[str, Counter[object]] = defaultdict(Counter)
    every: Counter[object] = Counter()
    for piece in pieces:
        for n in range(1, len(piece.row)):
            pairs[piece.row[n - 1].kind][move(piece.row, n)] += 1
            every[move(piece.row, n)] += 1
    total = every.total()

    def bits(piece: Piece) -> Iterator[float]:
        for n in range(1, len(piece.row)):
            to, after = move(piece.row, n), pairs[piece.row[n - 1].kind]
            alone = (every[to] + _BACK_OFF * _CHANCE) / (total + _BACK_OFF)
            yield -math.log2((after[to] + _BACK_OFF * alone) / (after.total() + _BACK_OFF))

    return bits


def _share(hits: np.ndarray) -> str:
    return f"{100 * hits.mean():.1f} ± {100 * hits.std() / math.sqrt(len(hits)):.1f} %"


def _mean(values: np.ndarray) -> str:
    return f"{values.mean():.3f} ± {values.std() / math.sqrt(len(values)):.3f}"


def _ratio(sums: np.ndarray, counts: np.ndarray) -> str:
    """Return a mean over tunes of unlike length, with the standard error of a ratio."""
    mean = float(sums.sum()) / float(counts.sum())
    error = math.sqrt(((sums - mean * counts) ** 2).sum()) / counts.sum()
    return f"{mean:.3f} ± {error:.3f}"


def figures(folder: Path) -> Iterator[str]:
    """Yield all figures."""
    pieces = jazz_pieces(folder)
    yield from key_figures(pieces)
    yield from harmony_figures(pieces, JAZZ)
    songs = [with_key(piece) for piece in plain_pieces(folder) if len(piece.row) > 1]
    yield from harmony_figures(songs, PLAIN)


if __name__ == "__main__":
    for line in figures(folder_given()):
        print(line, flush=True)
