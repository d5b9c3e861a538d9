"""Chord symbols against music21's reader, on those that both read alike: one ratio in one run."""

from __future__ import annotations

import statistics
import time

from harmonykit.theory import symbol_read
from harmonykit.theory.chord import Chord

ROOTS = ("C", "D", "E", "F", "G", "A", "B", "F#", "C#")
SUFFIXES = ("", "m", "7", "maj7", "m7", "dim7", "m7b5", "6", "m6", "9", "+", "sus4", "maj9", "m9")
SYMBOLS = [root + suffix for root in ROOTS for suffix in SUFFIXES]


def read_ours(symbols: list[str]) -> list[set[int]]:
    """Read symbols that were never read before, nor their suffixes."""
    forget()
    return [set(Chord.parse(symbol).pcs) for symbol in symbols]


def read_ours_one_by_one(symbols: list[str]) -> list[set[int]]:
    """Read symbols, each as if it were the first: no suffix is known from another root."""
    found = []
    for symbol in symbols:
        forget()
        found.append(set(Chord.parse(symbol).pcs))
    return found


def forget() -> None:
    symbol_read.read.cache_clear()
    symbol_read._read_suffix.cache_clear()


def read_theirs(symbols: list[str]) -> list[set[int]]:
    """Read symbols by music21; of one that it refuses, nothing."""
    from music21.harmony import ChordSymbol

    found = []
    for symbol in symbols:
        try:
            found.append({pitch.pitchClass for pitch in ChordSymbol(symbol).pitches})
        except ValueError:
            found.append(set())
    return found


def seconds(read, symbols: list[str], times: int) -> float:  # type: ignore[no-untyped-def]
    """Return the median time that reading all symbols takes."""
    spans = []
    for _ in range(times):
        begun = time.perf_counter()
        read(symbols)
        spans.append(time.perf_counter() - begun)
    return statistics.median(spans)


def test_symbols_are_read_50_times_as_fast_as_by_music21() -> None:
    read_theirs(["C"])
    pairs = zip(SYMBOLS, read_ours(SYMBOLS), read_theirs(SYMBOLS), strict=True)
    alike = [symbol for symbol, ours, theirs in pairs if ours == theirs]
    assert len(alike) > 100
    theirs = seconds(read_theirs, alike, 3)
    for how, reader in (("as a list", read_ours), ("one by one", read_ours_one_by_one)):
        ours = seconds(reader, alike, 9)
        each = 1e6 / len(alike)
        print(f"\n{len(alike)} symbols {how}: {ours * each:.0f} µs each", end=" ")
        print(f"against {theirs * each:.0f} µs: {theirs / ours:.0f} times", end="")
        assert theirs / ours >= 50
