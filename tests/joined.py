"""The least semitones between two chords of pitches, by recursion."""

from __future__ import annotations


def fewest(a: tuple[int, ...], b: tuple[int, ...]) -> int:
    """Return the least semitones: sorted voices, or every way to join each note (bisected)."""
    if len(a) == len(b):
        return sum(abs(x - y) for x, y in zip(a, b, strict=True))
    return _joined(a, b)


def _joined(a: tuple[int, ...], b: tuple[int, ...]) -> int:
    """Return the cheapest non-crossing way, by recursion on the highest notes."""
    gap = abs(a[-1] - b[-1])
    if len(a) == 1 and len(b) == 1:
        return gap
    ways = []
    if len(a) > 1:
        ways.append(_joined(a[:-1], b))
    if len(b) > 1:
        ways.append(_joined(a, b[:-1]))
    if len(a) > 1 and len(b) > 1:
        ways.append(_joined(a[:-1], b[:-1]))
    return gap + min(ways)
