"""A panel without a kernel: all that it can show near its beginning, computed beforehand.

A panel is a pure function from states to what is shown, and from presses to states.  So its states
are laid out from the first one outward, until there are ``MOST``, and the page's script goes from
one to the next.  A press that leads further is told as such.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from harmonykit.draw.svg import path_data
from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import Pitches
from harmonykit.workbook.base.live import Live
from harmonykit.workbook.base.panel import HEAR, SHARE, Control, Panel, Value
from harmonykit.workbook.essay.panel import EssayPanel
from harmonykit.workbook.panels.turn import TurnPanel, TurnState, draw_turned, turned

MOST = 48
Data = dict[str, Any]
Move = tuple[str, str, Value]
_TURNS = range(12)


def replay_of(value: object) -> Data | None:
    """Return what the page needs to let a panel answer, or nothing where it cannot.

    Parameters
    ----------
    value : object
        What a cell of a notebook ended with.
    """
    if isinstance(value, TurnPanel):
        return _turns(value)
    if isinstance(value, Panel):
        return _panel(value)
    if isinstance(value, EssayPanel):
        return _data(value, [{}], [{}], [_chords(each) for each in value.sounds])
    return None


def _data(
    panel: Live[Any], states: list[Data], moves: Sequence[Mapping[str, int]], sounds: Any
) -> Data:
    """Return a panel's view, its first state as the browser has it, and what may follow."""
    view = panel.view
    first = {name: getattr(view, name) for name in view.keys if not name.startswith("_")}
    first = {name: value for name, value in first.items() if _is_plain(value)}
    return {"view": type(view).__name__, "first": first, "states": states, "moves": moves} | {
        "sounds": sounds
    }


def _is_plain(value: object) -> bool:
    return value is None or isinstance(value, (str, int, float, bool, list, dict, tuple))


def _turns(panel: TurnPanel) -> Data:
    """Return the pictures of a turned set, one a semitone."""
    notes = panel.state.notes
    rows = [turned(TurnState(notes, by)) for by in _TURNS]
    pictures = [draw_turned(row).svg for row in rows]
    return {
        "view": "turns",
        "pictures": pictures,
        "facts": [row.facts for row in rows],
        "at": panel.state.semitones,
    }


def _panel(panel: Panel[Any]) -> Data:
    """Lay out a panel's states from where it stands outward."""
    first = panel.state
    known, order = {first: 0}, [first]
    moves: list[dict[str, int]] = []
    shown = [_shown(panel, first)]
    for state in order:
        found: dict[str, int] = {}
        for move in _moves(panel, state):
            after = _after(panel, state, move)
            if after is None:
                continue
            if after not in known and len(order) < MOST:
                try:
                    shown.append(_shown(panel, after))
                except HarmonyError:
                    continue
                known[after] = len(order)
                order.append(after)
            if after in known:
                found[" ".join(str(part) for part in move).strip()] = known[after]
        moves.append(found)
    sounds = [_chords(panel._chords(state)) for state in order]
    scenes = list(dict.fromkeys(each["scene"] for each in shown))
    for each in shown:
        each["scene"] = scenes.index(each["scene"])
    data = _data(panel, [_less(shown[0], each) for each in shown], moves, sounds)
    data["first"] |= {name: shown[0][name] for name in ("shown", "controls")}
    return data | {"scenes": scenes}


def _chords(chords: tuple[Pitches, ...]) -> list[list[int]]:
    return [list(chord) for chord in chords]


def _moves(panel: Panel[Any], state: Any) -> Iterator[Move]:
    """Yield all that can be pressed and set in a state."""
    for control in _controls(panel, state):
        if control.kind == "button" and control.id != HEAR.id:
            yield "set", control.id, ""
        elif control.kind == "check":
            yield "set", control.id, not control.value
        elif control.kind == "choice":
            for option in control.options:
                yield "set", control.id, option
    for spot in panel._scene(state).spots:
        if spot.press:
            yield "press", spot.id, ""


def _after(panel: Panel[Any], state: Any, move: Move) -> Any:
    kind, name, value = move
    try:
        if kind == "press":
            return panel._after_press(state, name)
        return panel._after_set(state, name, value)
    except HarmonyError:
        return None


def _controls(panel: Panel[Any], state: Any) -> tuple[Control, ...]:
    """Return the controls that answer on a page: nothing can be typed there."""
    found = (*panel._controls(state), HEAR)
    return tuple(each for each in found if each.kind != "text" and each.id != SHARE)


def _shown(panel: Panel[Any], state: Any) -> Data:
    """Return what the browser is sent in a state."""
    shown = panel._shown(state)
    return {
        "scene": panel._scene(state).live(),
        "controls": [control.as_dict() for control in _controls(panel, state)],
        "shown": {
            "looks": {part: list(look) for part, look in shown.looks.items()},
            "lines": {line: path_data(course) for line, course in shown.lines.items()},
            "facts": shown.facts,
            "lead": shown.lead,
            "trouble": "",
        },
    }


def _less(first: Data, state: Data) -> Data:
    """Return a state without what it has in common with the first one."""
    less = {name: state[name] for name in ("scene", "controls") if state[name] != first[name]}
    before, now = first["shown"], state["shown"]
    looks = {
        part: now["looks"].get(part)
        for part in {*before["looks"], *now["looks"]}
        if now["looks"].get(part) != before["looks"].get(part)
    }
    lines = {
        line: now["lines"].get(line)
        for line in {*before["lines"], *now["lines"]}
        if now["lines"].get(line) != before["lines"].get(line)
    }
    shown = {"looks": dict(sorted(looks.items())), "lines": dict(sorted(lines.items()))}
    return less | {"shown": shown | {"facts": now["facts"], "lead": now["lead"]}}
