"""Chord symbols against music21's reader, on those that both read alike: one ratio in one run."""

from __future__ import annotations

import time
from collections.abc import Callable

from measured import measured

from harmonykit.theory import chord
from harmonykit.theory.chord import Chord
from harmonykit.theory.symbols import read as symbol_read
from harmonykit.theory.symbols import said

ROOTS = ("C", "D", "E", "F", "G", "A", "B", "F#", "C#")
SUFFIXES = ("", "m", "7", "maj7", "m7", "dim7", "m7b5", "6", "m6", "9", "+", "sus4", "maj9", "m9")
Reader = Callable[[list[str]], list[set[int]]]
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
    for cached in (symbol_read.read, symbol_read._read_suffix, said.in_order, chord._sounding):
        cached.cache_clear()
    chord._semitones.cache_clear()


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


def seconds(reader: Reader, symbols: list[str]) -> float:
    """Return the time that reading all symbols takes."""
    begun = time.perf_counter()
    reader(symbols)
    return time.perf_counter() - begun


def test_symbols_are_read_50_times_as_fast_as_by_music21() -> None:
    read_theirs(["C"])
    pairs = zip(SYMBOLS, read_ours(SYMBOLS), read_theirs(SYMBOLS), strict=True)
    alike = [symbol for symbol, ours, theirs in pairs if ours == theirs]
    assert len(alike) > 100
    # Turn about, and the least of each: what else the machine does slows both or neither.
    readers = (read_theirs, read_ours, read_ours_one_by_one)
    rounds = [[seconds(reader, alike) for reader in readers] for _ in range(7)]
    theirs, *ours = (min(spans) for spans in zip(*rounds, strict=True))
    each = 1e6 / len(alike)
    for how, span in zip(("as a list", "one by one"), ours, strict=True):
        goal = 50 if how == "as a list" else 1
        beside = ("music21", theirs * each)
        row = measured(f"a symbol {how}", span * each, "µs", beside=beside, least=goal)
        assert row.met
