"""The front as it is shown: its points, and a few well-spread ones with the reason to take each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from harmonykit.arrange.arrangement import Arrangement

Triple = tuple[int, int, int]
"""Semitones that the voices move, millimetres that the hand travels, chords put in."""


@dataclass(frozen=True, slots=True)
class Point:
    """An arrangement of the front, and what it is measured by.

    Parameters
    ----------
    arrangement : Arrangement
    values : tuple of int
        Semitones, millimetres, chords put in.
    why : str
        The sentence that says why one would take it; empty where it is not among the choices.
    """

    arrangement: Arrangement
    values: Triple
    why: str = ""


@dataclass(frozen=True, slots=True)
class Front:
    """What is best in one way or another.

    Parameters
    ----------
    points : tuple of Point
        By semitones, then millimetres, then chords put in.
    bounded : bool
        Whether labels were counted as one, so that the front may lack some of its points.
    epsilon : tuple of int
        How much worse, in each of the three, a point of the front may be than one that it lacks;
        zero where it is complete.
    """

    points: tuple[Point, ...]
    bounded: bool = False
    epsilon: Triple = (0, 0, 0)

    def choices(self, most: int = 7) -> tuple[Point, ...]:
        """Return at most so many points, well spread, each with its reason."""
        return choose(self.points, most)


def choose(points: Sequence[Point], most: int = 7) -> tuple[Point, ...]:
    """Return at most so many points, well spread, each with the sentence that says why.

    First the least in each of the three; then, again and again, the point that lies farthest from
    all that are chosen, each of the three counted from its least to its greatest.
    """
    if not points:
        return ()
    values = np.array([point.values for point in points], dtype=float)
    spread = values.max(axis=0) - values.min(axis=0)
    places = (values - values.min(axis=0)) / np.where(spread > 0, spread, 1)
    chosen: list[int] = []
    for column in range(3):
        others = [c for c in range(3) if c != column]
        order = np.lexsort((values[:, others[1]], values[:, others[0]], values[:, column]))
        if int(order[0]) not in chosen and len(chosen) < most:
            chosen.append(int(order[0]))
    while len(chosen) < min(most, len(points)):
        gaps = np.abs(places[:, None, :] - places[None, chosen, :]).max(axis=2).min(axis=1)
        farthest = int(gaps.argmax())
        if gaps[farthest] <= 0:
            break
        chosen.append(farthest)
    picked = [points[place] for place in sorted(chosen)]
    return tuple(_told(point, points) for point in picked)


def _told(point: Point, points: Sequence[Point]) -> Point:
    least = [min(other.values[column] for other in points) for column in range(3)]
    said = [
        f"the least {name}"
        for name, value, low in zip(_WORDS, point.values, least, strict=True)
        if value == low
    ]
    semitones, travel, added = point.values
    numbers = (
        f"{semitones} semitones, {travel} mm, {added} {'chord' if added == 1 else 'chords'} put in"
    )
    if said:
        why = f"Take it for {' and '.join(said)}: {numbers}."
    else:
        over = f"{semitones - least[0]} semitones and {travel - least[1]} mm over the least"
        why = f"Take it between the extremes, {over}: {numbers}."
    return Point(point.arrangement, point.values, why)


_WORDS = ("movement of the voices", "travel of the hand", "change to the tune")
