"""The chord symbols of a MusicXML score, as plain data with their positions.

Positions within a measure follow the standard's cursor: notes move it forward, ``<backup>`` and
``<forward>`` move it as they say, and ``<offset>`` shifts one symbol.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any
from xml.etree.ElementTree import Element

Json = dict[str, Any]

_ALTERS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_SILENCE = re.compile(r"\s*N\.?\s?C\.?\s*")


def text_of(element: Element, path: str) -> str:
    """Return the text of a child, or nothing."""
    return (element.findtext(path) or "").strip()


def int_of(text: str, default: int = 0) -> int:
    """Return a number's whole part, or the default where there is no number."""
    try:
        return round(float(text))
    except (ValueError, OverflowError):
        return default


def read_harmonies(parts: list[Element]) -> list[Json]:
    """Return a bar for each measure, with the chord symbols of all parts."""
    count = max((len(part.findall("measure")) for part in parts), default=0)
    empty = {"meter": [4, 4], "length": "4", "notes": []}
    bars: list[Json] = [{"chords": [], "fermatas": [], **empty} for _ in range(count)]
    for part in parts:
        divisions = Fraction(1)
        for bar, measure in zip(bars, part.findall("measure"), strict=False):
            divisions = _cursor(measure, bar, divisions)
    for bar in bars:
        bar["chords"].sort(key=lambda chord: Fraction(chord["at"]))
    return bars


def _cursor(measure: Element, bar: Json, divisions: Fraction) -> Fraction:
    """Walk one measure; note its chord symbols and fermatas; return the divisions of a quarter."""
    now = Fraction(0)
    chords, waiting = bar["chords"], list[Json]()
    for element in measure:
        if element.tag == "attributes":
            divisions = Fraction(int_of(text_of(element, "divisions")) or divisions)
        elif element.tag == "backup":
            now -= Fraction(int_of(text_of(element, "duration"))) / divisions
            waiting = []
        elif element.tag in ("note", "forward") and element.find("chord") is None:
            length = Fraction(int_of(text_of(element, "duration"))) / divisions
            for chord in waiting:
                chord["room"] = str(length)
            waiting = [] if length else waiting
            _fermata(element, bar, now)
            now += length
        elif element.tag == "harmony" or _says_silence(element):
            offset = Fraction(int_of(text_of(element, "offset"))) / divisions
            found = _harmony(element) | {"at": str(now + offset)}
            if found not in [{k: v for k, v in c.items() if k != "room"} for c in chords]:
                chords.append(found)
                waiting += [] if found.get("alternate") else [found]
    return divisions


def _fermata(note: Element, bar: Json, now: Fraction) -> None:
    if note.find("notations/fermata") is not None and str(now) not in bar["fermatas"]:
        bar["fermatas"].append(str(now))


def _says_silence(element: Element) -> bool:
    """Return whether a direction's words say N.C., as scores without a ``none`` kind write it."""
    words = element.findall("direction-type/words") if element.tag == "direction" else []
    return any(_SILENCE.fullmatch(word.text or "") for word in words)


def _harmony(element: Element) -> Json:
    kind = element.find("kind")
    if element.tag == "direction" or (kind is not None and (kind.text or "").strip() == "none"):
        return {"silence": True}
    if element.find("root/root-step") is None or kind is None:
        return {"unread": "a chord by function or numeral, without a root"}
    return {
        "root": _step(element, "root"),
        "kind": (kind.text or "").strip(),
        "text": kind.get("text", ""),
        "degrees": [
            [
                text_of(d, "degree-type"),
                int_of(text_of(d, "degree-value")),
                int_of(text_of(d, "degree-alter")),
            ]
            for d in element.iterfind("degree")
        ],
        "bass": _step(element, "bass") if element.find("bass/bass-step") is not None else "",
        "inversion": int_of(text_of(element, "inversion")),
        **({"alternate": True} if element.get("type") == "alternate" else {}),
    }


def _step(element: Element, name: str) -> str:
    alter = int_of(text_of(element, f"{name}/{name}-alter"))
    return text_of(element, f"{name}/{name}-step") + _ALTERS.get(alter, "?")


def take_out_harmonies(parts: list[Element]) -> None:
    for part in parts:
        for measure in part.iterfind("measure"):
            for harmony in measure.findall("harmony"):
                measure.remove(harmony)
