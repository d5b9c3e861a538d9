"""Fit what moves between shapes on one guitarist's choices: ``fit_shapes.py FOLDER``.

A choice is a shape that differs from the one before it.  The model is a conditional logit among the
candidates of the same texture (movable drop 2); features are scaled by their spread over all
candidates, and a ridge of 1 keeps a fold in which a feature never varies from running away.  Errors
are clustered: the same step taken twice speaks once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from collection import folder_given, rows_of, write_table
from numpy.typing import NDArray

from harmonykit.fretboard.shapes.ranking import (
    FEATURES,
    candidates,
    features,
    in_order_after,
    name_of,
)
from harmonykit.fretboard.shapes.textures import textures_of
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

SOURCE = (
    'M. B. Keating, M. Casey, "Jazz Guitar Voice-Leading Chord Fingerings With Long Short-Term '
    'Memory", AIMC 2024 (half of its progressions)'
)
LICENCE = "none stated; five rounded weights are kept, no shape"
UNITS = {
    "strings": "the same strings sound",
    "inversion": "the root stays in its voice",
    "hand": "cm along the neck",
    "neck": "dm² from the sixth fret",
    "voices": "semitones² a voice",
}
TEXTURE = "drop 2"
# Progressions 1 to 3 have the same symbols, 4 and 5 begin alike.
GROUPS = {"1": "1-3", "2": "1-3", "3": "1-3", "4": "4-5", "5": "4-5"}
RIDGE = 1.0
Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Choice:
    """A step of the player: from a shape to one of the candidates of its texture."""

    progression: str
    before: Voicing
    chord: Chord
    after: Voicing
    rows: Numbers
    taken: int


def read_choices(folder: Path) -> list[Choice]:
    """Return the choices of all progressions; equal neighbours are one."""
    guitar = Instrument.named("guitar")
    rows = [list(row.values()) for row in rows_of(folder / "guitar_shapes.tsv")]
    steps = [(row[0], Chord.parse(row[2]), Voicing.parse(row[3], guitar)) for row in rows]
    return [
        _choice(old[0], old[2], new[1], new[2])
        for old, new in pairwise(steps)
        if old[0] == new[0] and old[2] != new[2]
    ]


def _choice(progression: str, before: Voicing, chord: Chord, after: Voicing) -> Choice:
    named = name_of(before, chord)
    root = None if named is None else named.root.pitch_class
    rivals = [
        shape
        for shape in candidates(chord, after.instrument)
        if shape != before and textures_of(shape, chord)[0] == TEXTURE
    ]
    # A shape that is no candidate is counted as missed by ``ranks``, and speaks for nothing.
    taken = rivals.index(after) if after in rivals else -1
    return Choice(progression, before, chord, after, features(before, root, chord, rivals), taken)


def fit(choices: Sequence[Choice], columns: Sequence[int]) -> tuple[Numbers, Numbers]:
    """Return the weights of some features and their clustered standard errors."""
    used = [choice for choice in choices if choice.taken >= 0]
    scale = np.vstack([choice.rows[:, columns] for choice in used]).std(axis=0)
    scale[scale == 0] = 1.0
    rows = [choice.rows[:, columns] / scale for choice in used]
    weights = np.zeros(len(columns))
    for _ in range(100):
        slopes, bend = _slopes(rows, used, weights)
        step = np.linalg.solve(bend, slopes.sum(axis=0) - RIDGE * weights)
        weights = weights + step
        if np.abs(step).max() < 1e-10:
            break
    slopes, bend = _slopes(rows, used, weights)
    keys = [(choice.before.frets, choice.after.frets) for choice in used]
    sums = np.array([slopes[[k == key for k in keys]].sum(axis=0) for key in dict.fromkeys(keys)])
    inverse = np.linalg.inv(bend)
    errors = np.sqrt(np.diag(inverse @ sums.T @ sums @ inverse))
    return weights / scale, errors / scale


def _slopes(
    rows: Sequence[Numbers], choices: Sequence[Choice], weights: Numbers
) -> tuple[Numbers, Numbers]:
    """Return each choice's slope of the log likelihood, and the bend of the whole."""
    slopes, bend = [], RIDGE * np.eye(len(weights))
    for row, choice in zip(rows, choices, strict=True):
        score = row @ weights
        share = np.exp(score - np.max(score))
        share /= share.sum()
        mean = share @ row
        slopes.append(row[choice.taken] - mean)
        bend += (row.T * share) @ row - np.outer(mean, mean)
    return np.array(slopes), bend


def ranks(choices: Sequence[Choice], columns: Sequence[int], weights: Numbers) -> list[float]:
    """Return the place of each taken shape within its texture; infinite where it is missing."""
    found = []
    for choice in choices:
        if choice.taken < 0:
            found.append(float("inf"))
            continue
        score = choice.rows[:, columns] @ weights
        better = int((score > score[choice.taken] + 1e-9).sum())
        equal = int((np.abs(score - score[choice.taken]) <= 1e-9).sum())
        found.append(1 + better + (equal - 1) / 2)
    return found


def left_out(
    choices: Sequence[Choice], columns: Sequence[int], group: Callable[[Choice], str]
) -> list[float]:
    """Return the places of all taken shapes, each group ranked by weights fitted on the others."""
    places: dict[int, float] = {}
    for name in dict.fromkeys(map(group, choices)):
        own = [n for n, choice in enumerate(choices) if group(choice) == name]
        weights, _ = fit([choice for choice in choices if group(choice) != name], columns)
        found = ranks([choices[n] for n in own], columns, weights)
        places |= dict(zip(own, found, strict=True))
    return [places[n] for n in range(len(choices))]


def reciprocal(places: Sequence[float]) -> tuple[float, float]:
    """Return the mean reciprocal rank and its standard error."""
    values = np.array([1 / place for place in places])
    return float(values.mean()), float(values.std(ddof=1) / len(values) ** 0.5)


def table(choices: Sequence[Choice]) -> dict[str, Any]:
    """Return what is committed: a rounded weight a feature, its error, and what speaks for it."""
    weights, errors = fit(choices, range(len(FEATURES)))
    rows = []
    for n, (name, weight, error) in enumerate(zip(FEATURES, weights, errors, strict=True)):
        cases = sum(np.ptp(choice.rows[:, n]) > 0 for choice in choices if choice.taken >= 0)
        digits = 1 - int(np.floor(np.log10(error)))
        rows.append(
            {
                "name": name,
                "unit": UNITS[name],
                "value": round(float(weight), digits),
                "error": round(float(error), digits),
                "cases": int(cases),
            }
        )
    script = "shared/evidence/fit_shapes.py"
    return {"source": SOURCE, "licence": LICENCE, "script": script, "base": 0.0, "weights": rows}


def evaluate(folder: Path) -> Iterator[str]:
    """Yield the figures of the model, each with its standard error."""
    choices, every = read_choices(folder), range(len(FEATURES))
    steps = {(choice.before.frets, choice.after.frets) for choice in choices}
    there = sum(choice.taken >= 0 for choice in choices)
    rivals = np.mean([len(choice.rows) for choice in choices])
    yield f"shapes: {len(choices)} choices, {len(steps)} of them different steps"
    yield f"  among the candidates of their texture: {there}; {rivals:.1f} candidates a chord"
    for row in table(choices)["weights"]:
        yield "  {name:10} {value:g} ± {error:g} ({unit}), {cases} choices".format(**row)
    for what, group in (("group", _group), ("progression", _progression)):
        yield f"  mean reciprocal rank, a {what} left out: {_said(left_out(choices, every, group))}"
        for n, name in enumerate(FEATURES):
            others = [other for other in every if other != n]
            yield f"    without {name}: {_said(left_out(choices, others, group))}"
    places, count = _among_all(choices)
    said = f"{_said(places)}; {count:.0f} candidates a chord"
    yield f"  the same, a group left out, among all textures by the rules: {said}"


def _among_all(choices: Sequence[Choice]) -> tuple[list[float], float]:
    """Return the places among the candidates of all textures, and how many those are."""
    places, counts = [], []
    fitted = {
        name: fit([choice for choice in choices if _group(choice) != name], range(len(FEATURES)))[0]
        for name in set(GROUPS.values())
    }
    for choice in choices:
        rivals = candidates(choice.chord, choice.after.instrument)
        shapes = [shape for shape in rivals if shape != choice.before]
        found = in_order_after(choice.before, choice.chord, shapes, list(fitted[_group(choice)]))
        counts.append(len(found))
        places.append(found.index(choice.after) + 1.0 if choice.after in found else float("inf"))
    return places, sum(counts) / len(counts)


def _group(choice: Choice) -> str:
    return GROUPS[choice.progression]


def _progression(choice: Choice) -> str:
    return choice.progression


def _said(places: Sequence[float]) -> str:
    mean, error = reciprocal(places)
    first = sum(place == 1 for place in places)
    return f"{mean:.3f} ± {error:.3f} ({first} first)"


if __name__ == "__main__":
    write_table("shapes", table(read_choices(folder_given())))
