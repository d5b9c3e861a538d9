"""Print the figures of the models, each with its standard error: ``evaluate.py FOLDER``.

Every number is told of what was left out of the fit: a progression or a group of them, a song or a
tune with its twins.  The data stand in a folder that is never committed.  It takes some minutes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import evaluate_arrangements
import evaluate_harmony
import evaluate_idioms
import evaluate_melodies
import fit_playability
import fit_shapes
from collection import folder_given

PARTS: tuple[Callable[[Path], Iterator[str]], ...] = (
    fit_shapes.evaluate,
    fit_playability.evaluate,
    evaluate_harmony.figures,
    evaluate_melodies.figures,
    evaluate_arrangements.figures,
    evaluate_idioms.figures,
)

if __name__ == "__main__":
    for part in PARTS:
        for line in part(folder_given()):
            print(line, flush=True)
