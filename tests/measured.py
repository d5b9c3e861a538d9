"""What the benchmarks measure: one table at the end, and what it said of the version before.

``python3 shared/start.py bench`` prints the table and keeps it as ``out/bench-VERSION.tsv``;
``tests/data/benchmarks`` has that of the last version, beside which each figure stands.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
KEPT = ROOT / "tests" / "data" / "benchmarks"
_LONGEST = 120
_ALIKE = 1.05
"""The least of a few rounds is one that came twice: within a twentieth."""
COLUMNS = ("what", "ours", "unit", "reference", "theirs", "figure", "goal", "met")

SPAWNED = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""
"""Runs a command and prints the greatest memory that it takes, as the system counts it.

A process starts with the greatest memory of the one that started it: this one is small.
"""


@dataclass(frozen=True)
class Row:
    """One line: ours, beside a reference measured in the same run where there is one.

    ``figure`` is what the goal is about: ours as a multiple of the reference, or how many times
    as fast as it where the goal is a least one, or ours itself.
    """

    what: str
    ours: float
    unit: str
    reference: str
    theirs: float | None
    goal: float | None
    least: bool

    @property
    def figure(self) -> float:
        if self.theirs is None:
            return self.ours
        return self.theirs / self.ours if self.least else self.ours / self.theirs

    @property
    def met(self) -> bool:
        if self.goal is None:
            return True
        return self.figure >= self.goal if self.least else self.figure <= self.goal

    def cells(self) -> tuple[str, ...]:
        """Return the line as text, a cell a column."""
        theirs = "" if self.theirs is None else f"{self.theirs:.4g}"
        goal = "" if self.goal is None else f"{'>=' if self.least else '<='} {self.goal:g}"
        met = "" if self.goal is None else "met" if self.met else "NOT MET"
        return (
            self.what, f"{self.ours:.4g}", self.unit, self.reference, theirs,
            f"{self.figure:.4g}", goal, met,
        )  # fmt: skip


ROWS: list[Row] = []
MISSED: list[tuple[str, str]] = []
"""What was to be measured and was not, and why."""


def measured(
    what: str,
    ours: float,
    unit: str = "s",
    *,
    beside: tuple[str, float] | None = None,
    most: float | None = None,
    least: float | None = None,
) -> Row:
    """Keep a line of the table, print it, and return it: a test asserts ``row.met``.

    Parameters
    ----------
    what : str
    ours : float
    unit : str
    beside : (str, float), optional
        The reference's name and what it took, in the same unit and run.
    most, least : float, optional
        The goal for ``Row.figure``.
    """
    name, theirs = beside or ("", None)
    goal = most if least is None else least
    ROWS.append(Row(what, ours, unit, name, theirs, goal, least is not None))
    print("", " | ".join(ROWS[-1].cells()), sep="\n")
    return ROWS[-1]


def repeated(once: Callable[[], Sequence[float]], most: int) -> list[Sequence[float]]:
    """Measure a few figures by turns: twice, and again while one's two least are apart.

    Parameters
    ----------
    once : callable
        Returns the figures of a round, in one order.
    most : int
        How many rounds there may be.
    """
    rounds = [once(), once()]
    while len(rounds) < most:
        least = (sorted(each)[:2] for each in zip(*rounds, strict=True))
        if all(second <= _ALIKE * first for first, second in least):
            break
        rounds.append(once())
    return rounds


def missed(what: str, why: str) -> None:
    """Keep what was not measured, and the first line of why."""
    MISSED.append((what, (why.strip().splitlines() or ["no reason was given"])[0][:_LONGEST]))


def lines() -> list[tuple[str, ...]]:
    """Return the cells of all that was measured, then of what was not."""
    empty = ("",) * (len(COLUMNS) - 2)
    return [
        *(row.cells() for row in ROWS),
        *((what, *empty, f"not measured: {why}") for what, why in MISSED),
    ]


def last_kept() -> dict[str, str]:
    """Return the figures of the last version that were kept, by what was measured."""
    files = sorted(KEPT.glob("bench-*.tsv"), key=_version)
    if not files:
        return {}
    with files[-1].open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE)
        return {row["what"]: row["figure"] for row in rows}


def _version(path: Path) -> list[int]:
    """Return the numbers of the version in a name: 0.10.0 comes after 0.2.0."""
    return [int(number) for number in re.findall(r"\d+", path.stem)]


def write(path: Path) -> None:
    """Write the table as tab-separated values."""
    path.parent.mkdir(parents=True, exist_ok=True)
    rows = ["\t".join(COLUMNS), *("\t".join(" ".join(c.split()) for c in row) for row in lines())]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8", newline="\n")
