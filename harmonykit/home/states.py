"""A panel without a kernel: all that it can show near its beginning, computed beforehand.

A panel is a pure function from states to what is shown, and from presses to states.  So its states
are laid out from the first one outward, until there are ``MOST``, and the page's script goes from
one to the next.  A press that leads further is told as such.  Panels that are linked are laid out
together: what is done to one of them is a step of all.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from harmonykit.draw.svg import path_data
from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import Pitches
from harmonykit.workbook.base.live import Live
from harmonykit.workbook.base.panel import Panel
from harmonykit.workbook.base.scene import HEAR, Standing, Value
from harmonykit.workbook.essay.panel import Sounding
from harmonykit.workbook.panels.turn import TurnPanel, TurnState, draw_turned, turned

MOST, MOST_TOGETHER = 48, 64
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
        return replays_of([value])[0]
    if isinstance(value, Sounding):
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


def replays_of(panels: Sequence[Panel[Any]]) -> list[Data]:
    """Return what the page needs to let panels that are linked with one another answer together.

    Parameters
    ----------
    panels : sequence of Panel
        One alone, or several of which each is linked with each.
    """
    layout = _Layout(panels)
    return [_replay(panel, layout, place) for place, panel in enumerate(panels)]


class _Layout:
    """The states of some panels, from where they stand outward: each a row, one a panel."""

    def __init__(self, panels: Sequence[Panel[Any]]) -> None:
        self.panels = panels
        first = tuple(panel.state for panel in panels)
        self.known, self.order = {first: 0}, [first]
        self.stands = [self._stands(first)]
        self.most = MOST if len(panels) == 1 else MOST_TOGETHER
        # What is said where a press changes nothing.
        self.said: dict[str, int] = {}
        self.moves: list[list[dict[str, int]]] = []
        for states, stands in zip(self.order, self.stands, strict=False):
            found = [self._led(states, place, stand) for place, stand in enumerate(stands)]
            self.moves.append(found)

    def _stands(self, states: tuple[Any, ...]) -> list[Standing]:
        return [panel.at(each) for panel, each in zip(self.panels, states, strict=True)]

    def _led(self, states: tuple[Any, ...], place: int, stand: Standing) -> dict[str, int]:
        """Return where each move of one panel leads, as far as that is laid out."""
        found: dict[str, int] = {}
        for move in _moves(stand):
            try:
                after = self._after(states, place, move)
                if self._add(after) and move[0] == "press":
                    # A note that is pressed twice is as it was: the way back is there too.
                    self._add(self._after(after, place, move))
            except HarmonyError:
                continue
            name = " ".join(str(part) for part in move).strip()
            # A button has no value; a list may well be set to what it is.
            if after == states and move[2] == "":
                said = self.panels[place].staying(states[place], stand.shown, move[1])
                found[name] = self._say(said) if said else self.known[after]
            elif after in self.known:
                found[name] = self.known[after]
        return found

    def _say(self, words: str) -> int:
        """Return the number that stands for words: they count downward, from -1."""
        return -1 - self.said.setdefault(words, len(self.said))

    def _add(self, states: tuple[Any, ...]) -> bool:
        """Lay out some states, where they are new and there is room."""
        if states in self.known or len(self.order) >= self.most:
            return False
        self.stands.append(self._stands(states))
        self.known[states] = len(self.order)
        self.order.append(states)
        return True

    def _after(self, states: tuple[Any, ...], place: int, move: Move) -> tuple[Any, ...]:
        panel = self.panels[place]
        after = panel.following(states[place], *move)
        if len(states) == 1:
            return (after,)
        choice = panel.choice_in(after)
        return tuple(
            after if n == place else other.agreeing(state, choice)
            for n, (other, state) in enumerate(zip(self.panels, states, strict=True))
        )


def _replay(panel: Panel[Any], layout: _Layout, place: int) -> Data:
    """Return one panel of a layout as the page has it."""
    stands = [each[place] for each in layout.stands]
    sounds = [_chords(each.chords) for each in stands]
    shown = [_shown(each) for each in stands]
    scenes = list(dict.fromkeys(each["scene"] for each in shown))
    for each in shown:
        each["scene"] = scenes.index(each["scene"])
    states = [_less(shown[0], each) for each in shown]
    data = _data(panel, states, [each[place] for each in layout.moves], sounds)
    data["first"] |= {name: shown[0][name] for name in ("shown", "controls")}
    return data | {"scenes": scenes, "said": list(layout.said)}


def _chords(chords: tuple[Pitches, ...]) -> list[list[int]]:
    return [list(chord) for chord in chords]


def _moves(stand: Standing) -> Iterator[Move]:
    """Yield all that can be pressed and set; nothing can be typed on a page."""
    for control in stand.controls:
        if control.kind == "button" and control.id != HEAR.id:
            yield "set", control.id, ""
        elif control.kind == "check":
            yield "set", control.id, not control.value
        elif control.kind == "choice":
            for option in control.options:
                yield "set", control.id, option
    for spot in stand.scene.spots:
        if spot.press:
            yield "press", spot.id, ""


def _shown(stand: Standing) -> Data:
    """Return what the browser is sent in a state."""
    shown = stand.shown
    return {
        "scene": stand.scene.live(),
        "controls": [each.as_dict() for each in stand.controls if each.kind != "text"],
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
