"""Fit the weights of keys on tunes whose key is known: ``fit_keys.py FOLDER``.

A softmax over 24 keys; the weights of a clue are the same in all transpositions and differ by mode.
The penalty is ``L2`` times half their squares, chosen by two-fold cross-validation.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from collection import (
    JAZZ_LICENCE,
    JAZZ_SOURCE,
    Piece,
    folder_given,
    jazz_pieces,
    write_table,
)
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from harmonykit.evidence.keys import MINOR, Clue, find_clues

L2 = 6.0
_FEWEST_TUNES = 3
_SMALLEST = 1  # hundredths


class KeyFit:
    """Weights of clues, fitted on pieces."""

    def __init__(self, pieces: Sequence[Piece], l2: float = L2) -> None:
        seen: Counter[Clue] = Counter()
        for piece in pieces:
            seen.update({_turned(clue, -clue[1][0]) for clue in find_clues(piece.row, piece.bars)})
        kept = sorted(clue for clue, tunes in seen.items() if tunes >= _FEWEST_TUNES)
        turned = [_turned(clue, tonic) for clue in kept for tonic in range(12)]
        self.place = {clue: n for n, clue in enumerate(turned)}
        table = self.clues(pieces)
        right = keys_told(pieces)
        across, at = table.T.tocsr(), np.arange(len(pieces))

        def loss(given: np.ndarray) -> tuple[float, np.ndarray]:
            share = softmax(self.points(table, given))
            cost = -np.log(share[at, right] + 1e-300).sum() + l2 / 2 * (given[:-1] ** 2).sum()
            share[at, right] -= 1
            slope = [across @ share[:, :12].ravel(), across @ share[:, 12:].ravel()]
            slope.append([share[:, 12:].sum()])
            full = np.concatenate(slope)
            full[:-1] += l2 * given[:-1]
            return cost, full

        start = np.zeros(2 * len(turned) + 1)
        found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 300})
        self.given = found.x

    def clues(self, pieces: Sequence[Piece]) -> csr_matrix:
        """Return a row for each piece and tonic."""
        rows, columns, values = [], [], []
        for number, piece in enumerate(pieces):
            for clue, value in find_clues(piece.row, piece.bars).items():
                for tonic in range(12):
                    column = self.place.get(_turned(clue, -tonic))
                    if column is not None:
                        rows.append(number * 12 + tonic)
                        columns.append(column)
                        values.append(value)
        return csr_matrix((values, (rows, columns)), (len(pieces) * 12, len(self.place)))

    def points(self, table: csr_matrix, given: np.ndarray) -> np.ndarray:
        """Return the points of 24 keys for each piece, major keys first."""
        half = len(self.place)
        major = (table @ given[:half]).reshape(-1, 12)
        minor = (table @ given[half:-1]).reshape(-1, 12) + given[-1]
        return np.concatenate([major, minor], axis=1)

    def probabilities(self, pieces: Sequence[Piece]) -> np.ndarray:
        """Return the probabilities of 24 keys for each piece, major keys first."""
        return softmax(self.points(self.clues(pieces), self.given))

    def table(self) -> dict[str, dict[str, list[int]]]:
        """Return the weights in hundredths, by the name of the clue."""
        half = len(self.place)
        found: dict[str, dict[str, list[int]]] = {}
        for (name, roots, kinds), n in sorted(self.place.items()):
            pair = [round(100 * self.given[n]), round(100 * self.given[half + n])]
            if max(map(abs, pair)) >= _SMALLEST:
                said = f"{' '.join(map(str, roots))}:{' '.join(kinds)}"
                found.setdefault(name, {})[said] = pair
        return found


def keys_told(pieces: Sequence[Piece]) -> np.ndarray:
    """Return the number of each piece's key among 24: tonics of major keys, then of minor ones."""
    told = (piece.key for piece in pieces if piece.key)
    return np.array([tonic + 12 * (mode == MINOR) for tonic, mode in told])


def _turned(clue: Clue, by: int) -> Clue:
    name, roots, kinds = clue
    return name, tuple((root + by) % 12 for root in roots), kinds


def softmax(points: np.ndarray) -> np.ndarray:
    """Return points as probabilities, row by row."""
    parts: np.ndarray = np.exp(points - points.max(1, keepdims=True))
    shares: np.ndarray = parts / parts.sum(1, keepdims=True)
    return shares


def main() -> None:
    """Fit on all tunes and write the table."""
    fit = KeyFit(jazz_pieces(folder_given()))
    write_table(
        "keys",
        {
            "source": JAZZ_SOURCE,
            "licence": JAZZ_LICENCE,
            "script": "shared/evidence/fit_keys.py",
            "unit": "hundredths of a natural logarithm: major, minor",
            "minor": round(float(fit.given[-1]), 2),
            "weights": fit.table(),
        },
    )


if __name__ == "__main__":
    main()
