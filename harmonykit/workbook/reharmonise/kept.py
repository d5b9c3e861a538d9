"""What is typed and set on the page of reharmonisation, as text for the file that keeps it."""

import json
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from harmonykit.arrange.costs import Weights
from harmonykit.arrange.moves import MOVES
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.words.former import current
from harmonykit.workbook.reharmonise.state import ReharmoniseState


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
    >>> state = ReharmoniseState(text="| C6 |", locked=frozenset((1,)))
    >>> from_kept(to_kept(state)) == state
    True
    """
    try:
        settings: dict[str, Any] = json.loads(kept["settings"])
        if "prices" in settings:  # as 0.1.0 called the style
            settings["style"] = settings.pop("prices")
        for name, make in _MAKERS.items():
            settings[name] = make(settings[name])
        return ReharmoniseState(text=kept["tune"], **settings)
    except (ValueError, TypeError, KeyError, AttributeError):
        raise HarmonyError("the saved settings cannot be read") from None


def _plain(value: Any) -> Any:
    if isinstance(value, (Weights, Limits)):
        return {each.name: getattr(value, each.name) for each in fields(value) if each.init}
    return sorted(value) if isinstance(value, frozenset) else value


_MAKERS: Mapping[str, Any] = {
    "weights": lambda found: Weights(**found),
    "limits": lambda found: Limits(**found),
    "moves": lambda found: tuple(m for m in MOVES if m in [current("move", n) for n in found]),
    "prefer": lambda found: current("move", found),
    "style": lambda found: current("style", found),
    "order": lambda found: current("column", found),
    "locked": lambda found: frozenset(map(int, found)),
}
