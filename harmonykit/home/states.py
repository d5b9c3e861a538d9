"""A panel without a kernel: all that it can show near its beginning, computed beforehand.

A panel is a pure function from states to what is shown, and from presses to states.  So its states
are laid out, until there are ``MOST``: all that follows the first one, where each button leads from
there that is pressed on and on, then the rest outward.  The page's script goes from one to the
next, and offers no press that leads further.  Panels that are linked are laid out together: what is
done to one of them is a step of all.
"""

import contextlib
from collections.abc import Iterator, Sequence
from typing import Any

from harmonykit.draw.svg import path_data
from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import Pitches
from harmonykit.values import replace
from harmonykit.workbook.base.live import Live
from harmonykit.workbook.base.panel import Panel
from harmonykit.workbook.base.scene import HEAR, Control, Look, Standing, Value
from harmonykit.workbook.essay.panel import Sounding
from harmonykit.workbook.panels.turn import TurnPanel, TurnState, draw_turned, turned

MOST, MOST_TOGETHER = 200, 220
Data = dict[str, Any]
Move = tuple[str, str, Value]
_TURNS = range(12)
# How often a button is pressed on and on: once round the octave, or along a scale.
_ON = 12
_NECKS = ("ukulele", "ukulele low g", "baritone ukulele", "guitar")


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


def _data(panel: Live[Any], states: list[Data], moves: list[Data], sounds: Any) -> Data:
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
        self._go_on(first)
        for place, move in _turns_about(self.stands[0]):
            self._lead({}, first, place, move)
        for states in tuple(self.order):
            self._go_on(states)
        for states, stands in zip(self.order, self.stands, strict=False):
            found: list[dict[str, int]] = [{} for _ in stands]
            for place, move in _turns_about(stands):
                self._lead(found[place], states, place, move)
            self.moves.append(found)
        self._shut_dead_ends()

    def _shut_dead_ends(self) -> None:
        """Let no list lead to where most of a panel is grey: two lists or more, and all else."""
        ends = {
            (at, place)
            for at in range(1, len(self.order))
            for place in range(len(self.panels))
            if self._is_dead_end(at, place)
        }
        for at, row in enumerate(self.moves):
            for place, found in enumerate(row):
                by_list = set().union(*self._lists(at, place))
                row[place] = {
                    name: after
                    for name, after in found.items()
                    if name not in by_list or after == at or (after, place) not in ends
                }

    def _lists(self, at: int, place: int) -> list[set[str]]:
        """Return for each list of a panel the names of what may be set."""
        controls = map(_here, self.stands[at][place].controls)
        return [{f"set {each.id} {option}" for option in each.options} for each in controls]

    def _is_dead_end(self, at: int, place: int) -> bool:
        found = self.moves[at][place]
        ways = {name for name, after in found.items() if after != at and after >= 0}
        lists = self._lists(at, place)
        shut = [names for names in lists if len(names) > 1 and not names & ways]
        return len(shut) > 1 and not ways - set().union(*lists)

    def _stands(self, states: tuple[Any, ...]) -> list[Standing]:
        return [panel.at(each) for panel, each in zip(self.panels, states, strict=True)]

    def _lead(self, found: dict[str, int], states: tuple[Any, ...], place: int, move: Move) -> None:
        """Put down where a move of one panel leads, as far as that is laid out."""
        try:
            after = self._after(states, place, move)
            if self._add(after) and move[0] == "press":
                # A note that is pressed twice is as it was: the way back is there too.
                self._add(self._after(after, place, move))
        except HarmonyError:
            return
        name = " ".join(str(part) for part in move).strip()
        # A button has no value; a list may well be set to what it is.
        if after == states and move[2] == "":
            panel, stand = self.panels[place], self.stands[self.known[states]][place]
            said = panel.staying(states[place], stand.shown, move[1])
            found[name] = self._say(said) if said else self.known[after]
        elif after in self.known:
            found[name] = self.known[after]

    def _go_on(self, states: tuple[Any, ...]) -> None:
        """Lay out where each button leads from some states that is pressed on and on."""
        for place, stand in enumerate(self.stands[self.known[states]]):
            for move in _moves(stand):
                if move[0] == "set" and move[2] == "":
                    self._press_on(states, place, move)

    def _press_on(self, states: tuple[Any, ...], place: int, move: Move) -> None:
        with contextlib.suppress(HarmonyError):
            for _ in range(_ON):
                states = self._after(states, place, move)
                if not self._add(states):
                    return

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
    """Return one panel of a layout as the page has it: what stands often is numbered."""
    stands = [each[place] for each in layout.stands]
    sounds = [_chords(each.chords) for each in stands]
    drawn = {id(each.scene): each.scene for each in stands}
    scenes = {key: (n, scene) for n, (key, scene) in enumerate(drawn.items())}
    looks: dict[Look, int] = {}
    shown = [_shown(each, scenes[id(each.scene)][0], looks) for each in stands]
    moves = [each[place] for each in layout.moves]
    asked = {name: n for n, name in enumerate(sorted({name for each in moves for name in each}))}
    led = [{str(asked[name]): at for name, at in each.items()} for each in moves]
    # A state is told by what is other than at first, or by all it has, where that is less.
    told = [led[0], *(min(_other(led[0], each), {"all": each}, key=_long) for each in led[1:])]
    data = _data(panel, [shown[0], *(_less(shown[0], each) for each in shown[1:])], told, sounds)
    drawings = [scene.live() for _, scene in scenes.values()]
    tables = {"asked": asked, "looks": list(looks), "scenes": drawings, "said": list(layout.said)}
    return data | tables


def _chords(chords: tuple[Pitches, ...]) -> list[list[int]]:
    return [list(chord) for chord in chords]


def _here(control: Control) -> Control:
    """Return a control as a page has it: each instrument more is a megabyte."""
    if control.id != "instrument":
        return control
    offered = tuple(each for each in control.options if each in (*_NECKS, control.value))
    return replace(control, options=offered)


def _moves(stand: Standing) -> Iterator[Move]:
    """Yield all that can be pressed and set, long lists last; nothing can be typed on a page."""
    for control in sorted(map(_here, stand.controls), key=lambda each: len(each.options)):
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


def _turns_about(stands: Sequence[Standing]) -> list[tuple[int, Move]]:
    """Return the moves of panels in turn, what is set before what is pressed."""
    moves = [
        (move[0] == "press", n, place, move)
        for place, stand in enumerate(stands)
        for n, move in enumerate(_moves(stand))
    ]
    return [(place, move) for _, _, place, move in sorted(moves, key=lambda each: each[:2])]


def _shown(stand: Standing, scene: int, looks: dict[Look, int]) -> Data:
    """Return what the browser is sent in a state; a look is a number."""
    shown = stand.shown
    return {
        "scene": scene,
        "controls": [_here(each).as_dict() for each in stand.controls if each.kind != "text"],
        "looks": {
            part: looks.setdefault(look, len(looks)) for part, look in sorted(shown.looks.items())
        },
        "lines": {line: path_data(course) for line, course in sorted(shown.lines.items())},
        "facts": shown.facts,
        "lead": shown.lead,
    }


def _less(first: Data, state: Data) -> Data:
    """Return a state without what it has in common with the first one."""
    less = {name: value for name, value in state.items() if value != first[name]}
    return less | {name: _other(first[name], state[name]) for name in ("looks", "lines")}


def _long(data: Data) -> int:
    return len(repr(data))


def _other(first: Data, now: Data) -> Data:
    """Return what is not as it was at first, nothing for what is no longer there."""
    names = sorted({*first, *now})
    return {name: now.get(name) for name in names if now.get(name) != first.get(name)}
