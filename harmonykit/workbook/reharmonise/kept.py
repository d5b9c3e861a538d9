"""What is typed and set on the page of reharmonisation, as text for the file that keeps it."""

import json
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from harmonykit.arrange.costs import Weights
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.words.former import current
from harmonykit.workbook.reharmonise.decisions import Decisions, Tunes, from_plain, to_plain
from harmonykit.workbook.reharmonise.state import ALLOWED, ReharmoniseState


def to_kept(state: ReharmoniseState) -> dict[str, str]:
    """Return a state as text by name: what was typed as it stands, the settings as JSON."""
    settings = {each.name: _plain(getattr(state, each.name)) for each in fields(state)}
    text = settings.pop("text")
    return {"tune": text, "settings": json.dumps(settings, ensure_ascii=False)}


def from_kept(kept: Mapping[str, str]) -> ReharmoniseState:
    """Return the state that was kept.

    Raises
    ------
    HarmonyError
        If the settings cannot be read.

    Examples
    --------
    >>> state = ReharmoniseState(text="| C6 |", decided=Decisions(frozenset((1,))))
    >>> from_kept(to_kept(state)) == state
    True
    """
    try:
        settings: dict[str, Any] = json.loads(kept["settings"])
        if "prices" in settings:  # as 0.1.0 called the style
            settings["style"] = settings.pop("prices")
        if "locked" in settings:  # as 0.1.0 had it, whatever the tune
            settings["decided"] = {**to_plain(Decisions()), "locked": settings.pop("locked")}
            settings["tunes"] = {"now": "", "others": []}
        for name, make in _MAKERS.items():
            settings[name] = make(settings[name])
        return ReharmoniseState(text=kept["tune"], **settings)
    except (ValueError, TypeError, KeyError, AttributeError):
        raise HarmonyError("the saved settings cannot be read") from None


def _plain(value: Any) -> Any:
    if isinstance(value, (Weights, Limits)):
        return {each.name: getattr(value, each.name) for each in fields(value) if each.init}
    if isinstance(value, Decisions):
        return to_plain(value)
    if isinstance(value, Tunes):
        others = [[mark, to_plain(decided)] for mark, decided in value.others]
        return {"now": value.now, "others": others}
    return value


def _tunes(found: Mapping[str, Any]) -> Tunes:
    others = tuple((str(mark), from_plain(decided)) for mark, decided in found["others"])
    return Tunes(str(found["now"]), others)


_MAKERS: Mapping[str, Any] = {
    "weights": lambda found: Weights(**found),
    "limits": lambda found: Limits(**found),
    "moves": lambda found: tuple(
        move for move in ALLOWED if move in [current("move", name) for name in found]
    ),
    "prefer": lambda found: current("move", found),
    "style": lambda found: current("style", found),
    "order": lambda found: current("column", found),
    "decided": from_plain,
    "tunes": _tunes,
}
