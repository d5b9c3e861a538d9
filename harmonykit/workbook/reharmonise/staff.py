"""Some bars of an arrangement engraved: a whole long tune would be slow to make and to look at."""

from __future__ import annotations

from copy import deepcopy
from xml.etree.ElementTree import Element, fromstring, tostring

from harmonykit.draw.staves.engraving import engrave

BARS = 16
WIDE_MM = 174.0


def staff_of(musicxml: str, first: int, wide_mm: float = WIDE_MM) -> str:
    """Return so many bars of a score as SVG, from a place counted from 0 in playing order."""
    root = fromstring(musicxml)
    for part in root.findall("part"):
        _cut(part, first, first + BARS)
    return engrave(tostring(root, encoding="unicode"), wide_mm, shapes=True)


def _cut(part: Element, first: int, stop: int) -> None:
    """Keep some measures; the first of them bears clef, key and metre as they then are."""
    measures = part.findall("measure")
    known: dict[str, Element] = {}
    for measure in measures[:first]:
        for attributes in measure.findall("attributes"):
            known |= {element.tag: element for element in attributes}
        part.remove(measure)
    for measure in measures[stop:]:
        part.remove(measure)
    if known and first < len(measures):
        _begin(measures[first], known)


def _begin(measure: Element, known: dict[str, Element]) -> None:
    own = measure.find("attributes")
    if own is None:
        own = Element("attributes")
        measure.insert(0, own)
    here = {element.tag: element for element in own}
    for element in list(own):
        own.remove(element)
    # The order that the format asks for.
    for tag in ("divisions", "key", "time", "staves", "clef", "transpose"):
        if tag in here or tag in known:
            own.append(here[tag] if tag in here else deepcopy(known[tag]))
