"""The controls of the page of reharmonisation: which state follows when one is set."""

from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from typing import Any

from harmonykit.arrange.idioms.frames import ENDINGS, INTROS
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.styles import CONTOURS, STYLES
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import DENSITIES
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import BARRES, LEVELS
from harmonykit.fretboard.shapes.row_textures import ROW_TEXTURES
from harmonykit.fretboard.strings.instrument import as_instrument
from harmonykit.fretboard.strings.shipped import names as instrument_names
from harmonykit.tune.tune import FASTEST, SLOWEST
from harmonykit.workbook.base.panel import changed
from harmonykit.workbook.base.scene import Value
from harmonykit.workbook.reharmonise import state as states
from harmonykit.workbook.reharmonise.decisions import FREE
from harmonykit.workbook.reharmonise.state import ReharmoniseState

_NUMBERS = {
    "max_fret": (0, 36, "a fret from 0 to 36"),
    "stretch_mm": (0, 300, "mm, from 0 to 300"),
    "tempo": (SLOWEST, FASTEST, f"quarter notes a minute, from {SLOWEST} to {FASTEST}; or empty"),
    "best": (1, states.MOST_BEST, f"from 1 to {states.MOST_BEST}"),
    "changes_a_bar": (0, states.MOST_CHANGES, f"0 for any number, or 1 to {states.MOST_CHANGES}"),
}
_DEAREST = 100_000
_WEIGHT, _MOVE, _CONTOUR = "weight-", "move-", "contour-"
STRINGS = "strings"


def after_set(state: ReharmoniseState, control: str, value: Value) -> ReharmoniseState:
    """Return the state after a control was set.

    Raises
    ------
    HarmonyError
        If the value cannot be.

    Examples
    --------
    >>> after_set(ReharmoniseState(), "move-ascending walk", False).moves
    ('leading-tone diminished', 'rootless dominant')
    >>> after_set(ReharmoniseState(), "style", "walking").weights.contour > 0
    True
    """
    if control.startswith(_MOVE):
        return _with_move(state, control.removeprefix(_MOVE), on=bool(value))
    if control.startswith(_CONTOUR):
        phrase = int(control.removeprefix(_CONTOUR))
        return replace(state, decided=state.decided.with_contour(phrase, str(value)))
    if control.startswith(_WEIGHT):
        name = control.removeprefix(_WEIGHT)
        weight = int(_number(value, 0, _DEAREST, f"a whole number from 0 to {_DEAREST:,}"))
        return _weighted(state, changed(state.weights, **{name: weight}))
    if control in _SETTERS:
        return _SETTERS[control](state, value)
    if control in _NUMBERS:
        return _with_number(state, control, value)
    return changed(state, **{control: value})


def _with_move(state: ReharmoniseState, move: str, *, on: bool) -> ReharmoniseState:
    moves = tuple(each for each in states.ALLOWED if (on if each == move else each in state.moves))
    return replace(
        state, moves=moves, prefer=state.prefer if state.prefer in moves else states.NO_ONE
    )


def _with_style(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    """Take on a style, the moves that are its own, and the one that it prefers."""
    name = str(value)
    if name == states.OWN_STYLE:
        return replace(state, style=name)
    prefer = STYLES[name].prefer
    own = STYLES[name].moves or state.moves
    moves = tuple(each for each in states.ALLOWED if each in own or each == prefer)
    return replace(state, style=name, weights=STYLES[name].weights, prefer=prefer, moves=moves)


def _weighted(state: ReharmoniseState, weights: Weights) -> ReharmoniseState:
    named = next(
        (name for name, style in STYLES.items() if style.weights == weights), states.OWN_STYLE
    )
    return replace(state, weights=weights, style=named)


def _with_prefer(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    """Prefer a move, which is then among those that may be used."""
    move = str(value)
    moves = tuple(each for each in states.ALLOWED if each in state.moves or each == move)
    return replace(state, prefer=move, moves=moves)


def _with_instrument(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    """Take another instrument; a level's limits become those of the same level there."""
    return _with_hand(replace(state, instrument=str(value)), state.hand)


def _with_strings(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    """Take an instrument that is typed as its open strings, or by one of its names."""
    typed = str(value).strip()
    return _with_instrument(state, as_instrument(typed).name) if typed else state


def _with_hand(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    place = states.HANDS.index(str(value))
    levels = LEVELS[as_instrument(state.instrument).family]
    return replace(state, limits=levels[place]) if place < len(levels) else state


def _with_number(state: ReharmoniseState, control: str, value: Value) -> ReharmoniseState:
    if control == "tempo" and not str(value).strip():
        return replace(state, tempo=0.0)
    found = _number(value, *_NUMBERS[control])
    if control in ("max_fret", "stretch_mm"):
        whole = int(found) if control == "max_fret" else found
        return replace(state, limits=changed(state.limits, **{control: whole}))
    return changed(state, **{control: found if control == "tempo" else int(found)})


def _number(value: Value, least: float, most: float, rule: str) -> float:
    try:
        found = float(value)
    except ValueError:
        raise HarmonyError(f"{value!r} is not a number", rule=rule) from None
    if not least <= found <= most:
        raise HarmonyError(f"{value} is out of range", rule=rule)
    return found


def _with_frame(state: ReharmoniseState, name: str, value: Value) -> ReharmoniseState:
    """Take an intro or an ending; the neck shows the first chord."""
    return replace(state, decided=changed(state.decided, **{name: str(value)}), step=0)


Setter = Callable[[ReharmoniseState, Value], ReharmoniseState]
_SETTERS: Mapping[str, Setter] = {
    "style": _with_style,
    "prefer": _with_prefer,
    "instrument": _with_instrument,
    STRINGS: _with_strings,
    "hand": _with_hand,
    "barre": lambda s, value: replace(s, limits=replace(s.limits, barre=str(value))),
    "intro": lambda s, value: _with_frame(s, "intro", value),
    "ending": lambda s, value: _with_frame(s, "ending", value),
    "text": lambda s, value: states.with_tune(s, str(value), s.name),
    "number": lambda s, value: states.with_tune(s, s.text, s.name, int(str(value))),
}

OPTIONS: Mapping[str, tuple[str, ...]] = {
    "style": (*STYLES, states.OWN_STYLE),
    "density": DENSITIES,
    "texture": ("", *ROW_TEXTURES),
    "prefer": (states.NO_ONE, *MOVES),
    "instrument": instrument_names(),
    "intro": ("", *INTROS),
    "ending": ("", *ENDINGS),
    "hand": states.HANDS,
    "barre": BARRES,
    "view": states.VIEWS,
}
"""What a control that offers a choice may be set to."""

WEIGHTS = tuple(each.name for each in fields(Weights))
"""The names of the weights."""


def contours(phrases: int) -> dict[str, tuple[str, ...]]:
    """Return the control of the contour of each phrase, with what it may be set to."""
    return {f"{_CONTOUR}{phrase}": (FREE, *CONTOURS) for phrase in range(phrases)}


CONTROLS = (
    "text", "number", *(f"{_MOVE}{move}" for move in states.ALLOWED), *OPTIONS, *_NUMBERS,
    *(f"{_WEIGHT}{name}" for name in WEIGHTS), "no_clashes", "bass_player", "all_numbers",
    "chosen", "beside", "order", STRINGS,
)  # fmt: skip
"""Every control by its id."""


def value_of(state: ReharmoniseState, control: str) -> Value:
    """Return what a control stands at.

    Examples
    --------
    >>> names = ("move-ascending walk", "tempo", "weight-travel")
    >>> [value_of(ReharmoniseState(), name) for name in names]
    [True, '', '2']
    """
    if control.startswith(_MOVE):
        return control.removeprefix(_MOVE) in state.moves
    if control.startswith(_CONTOUR):
        wanted, phrase = state.decided.contours, int(control.removeprefix(_CONTOUR))
        return wanted[phrase] if phrase < len(wanted) else FREE
    if control == STRINGS:
        return "" if state.instrument in OPTIONS["instrument"] else state.instrument
    if control in ("intro", "ending"):
        return str(getattr(state.decided, control))
    if control.startswith(_WEIGHT):
        return str(getattr(state.weights, control.removeprefix(_WEIGHT)))
    if control in ("max_fret", "stretch_mm", "barre"):
        found: Any = getattr(state.limits, control)
    else:
        found = getattr(state, control)
    if isinstance(found, bool):
        return found
    if control == "tempo" and not found:
        return ""
    return f"{found:g}" if isinstance(found, float) else str(found)
