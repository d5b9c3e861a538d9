"""How likely a change of chord is after what came before, and in which local key it stands.

A change is the step of the root, up in semitones, and the kind of chord that comes.  What was
counted stands on four levels, each used as far as it has evidence, then the one before it: any
change; by the kind of the chord that is left, and where in the bar and in a pair of bars both
stand; by that kind and its degree in the key; by the chord before it too.  A change that comes *n*
times in a tune counts the root of *n*, and only changes of three tunes or more are kept.

The key moves: before each change every key has a probability, from what was heard so far, the home
key the highest at the start; the probability of the change is its mean over them.  The likeliest
path through the keys (Viterbi) gives the local keys.

References
----------
A. J. Viterbi, "Error Bounds for Convolutional Codes and an Asymptotically Optimum Decoding
Algorithm", IEEE Transactions on Information Theory 13, 1967: the path.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import cache, cached_property

import numpy as np

from harmonykit.evidence.keys import MAJOR, MINOR, Heard
from harmonykit.evidence.kinds import JAZZ, KINDS, PLAIN, read_table
from harmonykit.values import dataclass

Place = tuple[int, str]
Context = tuple[str | int, ...]
Move = tuple[int, str]
Levels = Sequence[Mapping[Context, tuple[float, Mapping[Move, float]]]]

HARMONY = {JAZZ: "harmony", PLAIN: "harmony_plain"}
KEYS: tuple[Place, ...] = tuple((tonic, mode) for mode in (MAJOR, MINOR) for tonic in range(12))
# A level is trusted as it has more evidence than this for each change that follows its context.
_KEYLESS = 2
TRUST, _LEAST_TRUST = 12.0, 2.0
# How likely the key moves at a change: home by half, else anywhere; and how likely it starts there.
MOVES, _HOMEWARD, _STARTS = 0.03, 0.5, 0.97
# The share of a chord that a key never has.
_STRANGE = 1e-3


def contexts(row: Sequence[Heard], index: int) -> Iterator[Context]:
    """Yield what stands before a chord of a row, in any key, from level to level."""
    left = row[index - 1]
    yield ()
    yield left.kind, int(left.strong), int(row[index].strong), row[index].bar % 2


def contexts_in(row: Sequence[Heard], index: int, key: Place) -> Iterator[Context]:
    """Yield what stands before a chord of a row, in a key, from level to level."""
    left = row[index - 1]
    degree = (left.root - key[0]) % 12
    before = row[index - 2] if index > 1 else None
    earlier: Context = ("",) if before is None else ((before.root - left.root) % 12, before.kind)
    yield key[1], degree, left.kind
    yield key[1], degree, left.kind, *earlier


def move(row: Sequence[Heard], index: int) -> Move:
    """Return the change to a chord of a row."""
    return (row[index].root - row[index - 1].root) % 12, row[index].kind


@dataclass(frozen=True)
class Harmony:
    """A table of changes, by level and context: what was left out, and what follows how often."""

    levels: Levels
    kinds: int

    def likely(self, row: Sequence[Heard], index: int, keys: Sequence[Place]) -> list[float]:
        """Return the probability of the change to a chord of a row, in each of some keys."""
        wanted = move(row, index)
        base, told = 1 / (12 * self.kinds), []
        for level, context in zip(self.levels[:_KEYLESS], contexts(row, index), strict=True):
            base = self._blend(level, context, wanted, base)
        for key in keys:
            found = base
            for level, context in zip(
                self.levels[_KEYLESS:], contexts_in(row, index, key), strict=True
            ):
                found = self._blend(level, context, wanted, found)
            told.append(found)
        return told

    def _blend(
        self,
        level: Mapping[Context, tuple[float, Mapping[Move, float]]],
        context: Context,
        wanted: Move,
        before: float,
    ) -> float:
        """Return a probability after one more level, from that of the level before."""
        if context not in level:
            return before
        rest, follows = level[context]
        held = TRUST * len(follows) + _LEAST_TRUST + rest
        return (follows.get(wanted, 0.0) + held * before) / (sum(follows.values()) + held)

    def by_key(self, row: Sequence[Heard]) -> np.ndarray:
        """Return the probability of each change (rows) in each of ``KEYS`` (columns)."""
        found = [self.likely(row, n, KEYS) for n in range(1, len(row))]
        return np.array(found).reshape(-1, len(KEYS))

    def bits(self, row: Sequence[Heard], home: Place) -> list[float]:
        """Return -log2 of the probability of each change of a row: of every chord but the first.

        Parameters
        ----------
        row : sequence of Heard
            Without repeats.
        home : (int, str)
            Tonic and mode.
        """
        return self._bits(self.by_key(row), home)

    def follow(self, row: Sequence[Heard], home: Place) -> tuple[list[Place], list[float]]:
        """Return the local keys of a row, as ``local_keys`` does, and its bits, as ``bits``."""
        likely = self.by_key(row)
        return self._path(row, likely, home), self._bits(likely, home)

    def _bits(self, likely_by_key: np.ndarray, home: Place) -> list[float]:
        now, moving, found = _start(home), _moving(home), []
        for each in likely_by_key:
            likely = float(now @ each)
            found.append(-math.log2(likely))
            now = (now * each / likely) @ moving
        return found

    def local_keys(self, row: Sequence[Heard], home: Place) -> list[Place]:
        """Return the key in which each chord of a row stands, on the likeliest path.

        A chord speaks for the keys in which its degree and kind are usual, a change for those in
        which it is.
        """
        return self._path(row, self.by_key(row), home)

    def _path(self, row: Sequence[Heard], likely_by_key: np.ndarray, home: Place) -> list[Place]:
        usual = np.array([self._at_home(each) for each in row[1:]]).reshape(-1, len(KEYS))
        likely = np.log(likely_by_key) + np.log(usual)
        best = np.log(_start(home)) + np.log(self._at_home(row[0]))
        moving, ways = np.log(_moving(home)), []
        for each in likely:
            through = best[:, None] + moving
            ways.append(through.argmax(0))
            best = through.max(0) + each
        path = [int(np.argmax(best))]
        for way in reversed(ways):
            path.append(int(way[path[-1]]))
        return [KEYS[n] for n in reversed(path)]

    def _at_home(self, chord: Heard) -> list[float]:
        """Return how usual a chord is in each of ``KEYS``."""
        shares = self._shares
        return [
            shares[mode].get(((chord.root - tonic) % 12, chord.kind), 0.0) + _STRANGE
            for tonic, mode in KEYS
        ]

    @cached_property
    def _shares(self) -> Mapping[str, Mapping[tuple[int, str], float]]:
        """The share of each degree and kind among the chords of a mode."""
        counts: dict[str, dict[tuple[int, str], float]] = {MAJOR: {}, MINOR: {}}
        for (mode, degree, kind), (rest, follows) in self.levels[2].items():
            counts[str(mode)][int(degree), str(kind)] = rest + sum(follows.values())
        return {
            mode: {place: n / sum(found.values()) for place, n in found.items()}
            for mode, found in counts.items()
        }


def _start(home: Place) -> np.ndarray:
    start = np.full(len(KEYS), (1 - _STARTS) / (len(KEYS) - 1))
    start[KEYS.index(home)] = _STARTS
    return start


def _moving(home: Place) -> np.ndarray:
    count = len(KEYS)
    moving = np.full((count, count), MOVES * (1 - _HOMEWARD) / count)
    moving[:, KEYS.index(home)] += MOVES * _HOMEWARD
    moving[np.arange(count), np.arange(count)] += 1 - MOVES
    return moving


@cache
def harmony_of(style: str) -> Harmony:
    """Return what was counted in a style."""
    levels = read_table(HARMONY[style])["levels"]
    return Harmony([dict(_entries(level)) for level in levels], len(KINDS[style]))


def _entries(
    level: Mapping[str, tuple[float, Mapping[str, float]]],
) -> Iterator[tuple[Context, tuple[float, Mapping[Move, float]]]]:
    for said, (rest, follows) in level.items():
        yield _parse_context(said), (rest, {_parse_move(each): n for each, n in follows.items()})


def _parse_context(said: str) -> Context:
    """Read a context of a table: numbers with ``+`` are steps, other words kinds and modes."""
    words = said.split(" ") if said else []
    return tuple(int(word[1:]) if word[:1] == "+" and word[1:] else word for word in words)


def _parse_move(said: str) -> Move:
    step, kind = said.split(" ")
    return int(step), kind
