"""The figures of ``harmonykit compare``, and what is said of the Pareto front."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from harmonykit.about.text import WIDTH
from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.told_changes import added_said
from harmonykit.cli.compare import BY_STYLE, Comparison
from harmonykit.files import refused, shown
from harmonykit.files.manifest import Carried, write_beside
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet

if TYPE_CHECKING:
    from harmonykit.arrange.choices import Front
    from harmonykit.draw.drawing import Drawing


def write_plots(compared: Comparison, folder: Path) -> str:
    """Write the figures into a folder; return what to say of them.

    Distances, matrix and map show the tune as written and the best with all moves for the first two
    purposes, or the first two that are offered with added chords; the voices are those of the first
    of them.  The front is that of the moves of the diminished seventh, the tradeoffs those of what
    is offered.
    """
    from harmonykit.arrange.front import pareto_front
    from harmonykit.arrange.gains_and_costs import tradeoffs
    from harmonykit.draw.plots.course import draw_courses
    from harmonykit.draw.plots.distances import draw_distances
    from harmonykit.draw.plots.front import draw_front
    from harmonykit.draw.plots.leading import draw_leading
    from harmonykit.draw.plots.matrix import draw_matrix
    from harmonykit.draw.plots.tradeoffs import draw_tradeoffs

    first, *others = compared.ways
    together = [way for way in others if way.name in BY_STYLE] or [w for w in others if w.added]
    chosen = [first, *together[:2]]
    front = pareto_front(compared.tune, compared.instrument)
    figures = {"distances": draw_distances(chosen), "front": draw_front(front)}
    figures |= {"voices": draw_leading(chosen[min(1, len(chosen) - 1)])}
    figures |= {"tradeoffs": draw_tradeoffs(tradeoffs(compared.tune, compared.instrument))}
    chords = chords_of(chosen)
    if len(chords) > 1:
        figures |= {"matrix": draw_matrix(chords), "map": draw_courses(chosen)}
    kept = _write(folder, figures)
    return "\n".join([*_say_front(front, folder, list(figures)), *map(str, kept)])


def chords_of(found: list[Arrangement]) -> list[Chord]:
    """Return the chords of some arrangements, each set of notes once, as they come."""
    chords: dict[PcSet, Chord] = {}
    for way in found:
        for step in way.steps:
            if step.chord is not None:
                chord = step.chord if step.chord.foreign_bass else step.chord.over(None)
                chords.setdefault(chord.pcs, chord)
    return list(chords.values())


def _write(folder: Path, figures: dict[str, Drawing]) -> list[Carried]:
    """Write figures into a folder; return what the user had there, and as what it is kept."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise refused(folder, trouble) from None
    found = [
        write_beside(folder / f"{name}.svg", figure.as_file()) for name, figure in figures.items()
    ]
    return [kept for kept in found if kept]


def _say_front(front: Front, folder: Path, names: list[str]) -> Iterator[str]:
    files = ", ".join(f"{name}.svg" for name in names)
    yield from textwrap.wrap(f"{shown(folder)}: {files}", WIDTH, subsequent_indent="  ")
    count = len(front.points)
    over = "a missing one is better by at most {} semitones, {} mm, {} chords"
    kind = over.format(*front.epsilon) if front.bounded else "complete"
    kinds = "arrangement" if count == 1 else "arrangements"
    yield f"The Pareto front has {count} {kinds} ({kind}):"
    for letter, point in zip("ABCDEFG", front.choices(), strict=False):
        yield from textwrap.wrap(f"{letter}  {point.why}", WIDTH, subsequent_indent="   ")
        if chords := added_said(point.arrangement):
            yield from textwrap.wrap(chords, WIDTH, initial_indent="   ", subsequent_indent="   ")
