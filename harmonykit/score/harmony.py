"""One chord symbol of a MusicXML score, as plain data; ``harmony_out`` is the way back."""

import re
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


def says_silence(element: Element) -> bool:
    """Return whether a direction's words say N.C., as scores without a ``none`` kind write it."""
    words = element.findall("direction-type/words") if element.tag == "direction" else []
    return any(_SILENCE.fullmatch(word.text or "") for word in words)


def harmony_of(element: Element) -> Json:
    """Return what a ``<harmony>``, or a direction that says N.C., says of its chord."""
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
