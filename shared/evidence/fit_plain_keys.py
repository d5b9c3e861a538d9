"""Learn the weights of keys for songs in triads: ``fit_plain_keys.py FOLDER``.

The keys of these songs are not told, so they are learnt with the weights (expectation and
maximisation, twelve rounds): the first round says only which chords belong to a key (common
practice, no source).  A chord's weight is the logarithm of its share over that of a strange one; a
pair's is the logarithm of its share over what its chords make likely, shrunk where it is rare.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence

from collection import (
    PLAIN_LICENCE,
    PLAIN_SOURCE,
    Piece,
    folder_given,
    plain_pieces,
    write_table,
)

from harmonykit.evidence.keys import MAJOR, MINOR, Clue, find_clues, points_of, softmax

# What a clue counts for major and for minor keys.
Weights = Mapping[Clue, tuple[float, float]]

_ROUNDS = 12
_KEPT = frozenset({"chord", "pair", "first", "last", "round"})
# How likely a chord is thought to be in a key before anything was counted, in chords of a song.
_BELONG = {
    MAJOR: "0:maj 8 7:maj 5 5:maj 5 9:min 4 2:min 3 4:min 2 7:7 3 10:maj 1 0:5 2 7:5 1 5:5 1",
    MINOR: "0:min 8 7:min 2 5:min 3 5:maj 2 7:7 3 7:maj 2 8:maj 4 3:maj 4 10:maj 4 2:dim 1 0:5 2",
}
_STRANGE = 0.05
# Fewer songs are in minor; songs often begin and end on another chord than the tonic.
_FOR_MINOR = -1.0
_EDGE = {"first": 0.5, "last": 0.5}
# The songs have no vamps: the tonic is the first chord, or else the other (common practice, no
# source).
_VAMP = {"vamp": 2.0, "vamp on two": 0.7}
_SHRUNK = 8.0
_FEWEST_SONGS = 3
_SMALLEST = 5


def first_weights() -> Weights:
    """Return the weights of the first round."""
    found: dict[Clue, tuple[float, float]] = {}
    for place, mode in enumerate((MAJOR, MINOR)):
        words = _BELONG[mode].split()
        for said, chords in zip(words[::2], words[1::2], strict=True):
            root, kind = said.split(":")
            clue: Clue = ("chord", (int(root),), (kind,))
            pair = list(found.get(clue, (0.0, 0.0)))
            pair[place] = math.log(float(chords) / _STRANGE)
            found[clue] = (pair[0], pair[1])
    return found


def learn(pieces: Sequence[Piece]) -> Weights:
    """Return the weights after the last round."""
    told = [
        {
            clue: n * _EDGE.get(clue[0], 1)
            for clue, n in find_clues(piece.row, piece.bars).items()
            if clue[0] in _KEPT
        }
        for piece in pieces
    ]
    weights = first_weights()
    for _ in range(_ROUNDS):
        weights = _again(told, weights)
    vamps: dict[Clue, tuple[float, float]] = {
        (name, (0,), (family,)): (0.0, weight) if family == "m" else (weight, 0.0)
        for name, weight in _VAMP.items()
        for family in "MDm"
    }
    return vamps | {
        clue: (major * _EDGE.get(clue[0], 1), minor * _EDGE.get(clue[0], 1))
        for clue, (major, minor) in weights.items()
    }


def _again(told: Sequence[dict[Clue, float]], weights: Weights) -> Weights:
    counts: dict[str, dict[Clue, float]] = {MAJOR: defaultdict(float), MINOR: defaultdict(float)}
    songs: dict[Clue, float] = defaultdict(float)
    for clues in told:
        shares = softmax(points_of(clues, weights.get, _FOR_MINOR))
        for (tonic, mode), share in shares.items():
            if share > 1e-3:
                for (name, roots, kinds), value in clues.items():
                    turned = (name, tuple((root - tonic) % 12 for root in roots), kinds)
                    counts[mode][turned] += share * value
                    songs[turned] += share
    found: dict[Clue, list[float]] = {}
    for place, mode in enumerate((MAJOR, MINOR)):
        for clue, weight in _logs(counts[mode]).items():
            if songs[clue] >= _FEWEST_SONGS:
                found.setdefault(clue, [0.0, 0.0])[place] = weight
    return {clue: (pair[0], pair[1]) for clue, pair in found.items()}


def _logs(counts: Mapping[Clue, float]) -> dict[Clue, float]:
    total: dict[str, float] = defaultdict(float)
    for (name, *_), n in counts.items():
        total[name] += n
    share = {
        (roots[0], kinds[0]): n / total["chord"]
        for (name, roots, kinds), n in counts.items()
        if name == "chord"
    }
    strange = _STRANGE / 40
    found = {}
    for clue, n in counts.items():
        name, roots, kinds = clue
        expected = math.prod(
            max(share.get(each, 0), strange) for each in zip(roots, kinds, strict=False)
        )
        if name == "chord":
            found[clue] = math.log((share[roots[0], kinds[0]] + strange) / strange)
        elif name != "round":
            wanted = expected * total[name]
            found[clue] = math.log((n + _SHRUNK * 0.1) / (wanted + _SHRUNK * 0.1))
    return found


def as_rows(weights: Weights) -> dict[str, dict[str, list[int]]]:
    """Return weights in hundredths, by the name of the clue."""
    found: dict[str, dict[str, list[int]]] = {}
    for (name, roots, kinds), pair in sorted(weights.items()):
        numbers = [round(100 * each) for each in pair]
        if max(map(abs, numbers)) >= _SMALLEST:
            said = f"{' '.join(map(str, roots))}:{' '.join(kinds)}"
            found.setdefault(name, {})[said] = numbers
    return found


def main() -> None:
    """Learn from all songs and write the table."""
    write_table(
        "keys_plain",
        {
            "source": PLAIN_SOURCE,
            "licence": PLAIN_LICENCE,
            "script": "shared/evidence/fit_plain_keys.py",
            "unit": "hundredths of a natural logarithm: major, minor",
            "minor": _FOR_MINOR,
            "weights": as_rows(learn(plain_pieces(folder_given()))),
        },
    )


if __name__ == "__main__":
    main()
