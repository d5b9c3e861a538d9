"""A small survey for the tests of what is drawn and told of one, and where texts stand."""

from __future__ import annotations

from itertools import pairwise

import pandas as pd
from made_once import made_once
from made_tunes import made_tune

from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.survey.cells import cells
from harmonykit.arrange.survey.folder import HEAD
from harmonykit.arrange.survey.plan import ALL
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.tree import Text
from harmonykit.fretboard.strings.instrument import Instrument

SEEDS = (37, 1, 3)


@made_once
def surveyed() -> pd.DataFrame:
    """Return the table of three tunes in all keys on two instruments at one level."""
    rows = [
        {"file": f"{seed}.toml", "number": None} | row
        for seed in SEEDS
        for name in ("ukulele", "guitar")
        for row in cells(made_tune(seed), Instrument.named(name), 1, ALL, USUAL)
    ]
    return pd.DataFrame(rows, columns=list(HEAD))


def texts(drawing: Drawing) -> list[str]:
    """Return the texts of a figure in order, in ASCII accidentals."""
    return [text.replace("♭", "b").replace("♯", "#") for text in drawing.sheet.texts]


def inside(drawing: Drawing) -> None:
    """Make sure that no text of a figure leaves its sheet or meets another on its line."""
    spots = drawing.sheet.all(Text)
    assert spots
    lines: dict[float, list[tuple[float, float, str]]] = {}
    for spot in spots:
        left, _, right, _ = spot.box
        assert left >= -0.05 and right <= drawing.width_mm + 0.05, spot.text
        lines.setdefault(round(spot.baseline, 2), []).append((left, right, spot.text))
        assert spot.size * 0.7 * 25.4 / 72 <= spot.baseline <= drawing.height_mm, spot.text
    for line in lines.values():
        for (_, end, before), (begin, _, after) in pairwise(sorted(line)):
            assert end < begin, (before, after)
