"""A small survey for the tests of what is drawn and told of one, and where texts stand."""

from __future__ import annotations

import re
from functools import lru_cache
from html import unescape
from itertools import pairwise
from xml.etree import ElementTree

import pandas as pd
from made_tunes import made_tune

from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.survey.cells import cells
from harmonykit.arrange.survey.folder import HEAD
from harmonykit.arrange.survey.keys import ALL
from harmonykit.draw.base.canvas import text_width
from harmonykit.draw.base.style import POINTS_PER_MM, Drawing
from harmonykit.fretboard.strings.instrument import Instrument

SEEDS = (19, 1, 3)


@lru_cache(maxsize=1)
def surveyed() -> pd.DataFrame:
    """Return the table of three tunes in all keys on two instruments at one level."""
    rows = [
        {"file": f"{seed}.toml", "number": None} | row
        for seed in SEEDS
        for name in ("ukulele", "guitar")
        for row in cells(made_tune(seed), Instrument.named(name), 1, ALL, USUAL)
    ]
    return pd.DataFrame(rows, columns=list(HEAD))


def texts(svg: str) -> list[str]:
    """Return the texts of a figure in order, in ASCII accidentals."""
    found = (unescape(text) for text in re.findall(r"<text[^>]*>([^<]*)</text>", svg))
    return [text.replace("♭", "b").replace("♯", "#") for text in found]


def inside(drawing: Drawing) -> None:
    """Make sure that no text of a figure leaves its sheet or meets another on its line."""
    root = ElementTree.fromstring(drawing.svg)
    spots = [element for element in root.iter() if element.tag.endswith("text")]
    assert spots
    lines: dict[float, list[tuple[float, float, str]]] = {}
    for spot in spots:
        style = spot.get("style", "")
        size = float(re.search(r"([0-9.]+)px", style)[1])  # type: ignore[index]
        weight = 600 if re.search(r"\b600\b", style) else 400
        where = (spot.get("transform") or "") + f" {spot.get('x')} {spot.get('y')}"
        x, y = (float(number) for number in re.findall(r"-?[0-9.]+", where)[:2])
        wide = text_width(spot.text or "", size, weight) * POINTS_PER_MM
        start = {"middle": x - wide / 2, "end": x - wide}.get(_anchor(style), x)
        assert start >= -0.1 and start + wide <= drawing.width_mm * POINTS_PER_MM + 0.1, spot.text
        lines.setdefault(y, []).append((start, start + wide, spot.text or ""))
        assert size * 0.7 <= y <= drawing.height_mm * POINTS_PER_MM, spot.text
    for line in lines.values():
        for (_, end, before), (begin, _, after) in pairwise(sorted(line)):
            assert end < begin, (before, after)


def _anchor(style: str) -> str:
    found = re.search(r"text-anchor: (\w+)", style)
    return found[1] if found else "start"
