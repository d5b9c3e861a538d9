"""What an arranger has set on the page of reharmonisation: the tune as typed, and every control.

A state is a frozen value, and ``after_set`` says which state follows when a control is set.
Tempo is in quarters a minute, ``0`` where the tune's own is meant; lengths are in mm.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from harmonykit.arrange.costs import Weights
from harmonykit.arrange.demands import Demands
from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.arrange.styles import STYLES
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.limits import BARRES, LEVELS, Limits
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.tune import FASTEST, SLOWEST
from harmonykit.workbook.base.panel import Value, changed
from harmonykit.workbook.panels.neck import INSTRUMENTS

OWN_STYLE = "your own"
NO_ONE, ANY = "", "0"
MOST_BEST = 12
MOST_CHANGES = 16
VIEWS = ("chart", "neck", "staff")
# The limits that a level's name stands for, and the limits that were set by hand.
HANDS = ("level 1", "level 2", "level 3", "your own")


@dataclass(frozen=True, slots=True)
class ReharmoniseState:
    """All that is typed and set.

    Parameters
    ----------
    text : str
        The tune: the text form, bare changes between bar lines, ABC or MusicXML.
    name : str
        The file that it was read from, or nothing.
    number : int
        Which tune of an ABC text that holds several, by its own number; 0 for the first.
    moves : tuple of str
    style : str
        The name of a style, or ``"your own"``.
    weights : Weights
    prefer : str
        A move to be used wherever it fits; may be empty.
    instrument : str
    limits : Limits
    tempo : float
    best : int
        How many of the best are asked for.
    locked : frozenset of int
        Bars that stay as they are, by their written numbers.
    changes_a_bar : int
        At most; 0 for any number.
    no_clashes, bass_player : bool
        As ``Demands`` and ``reharmonise`` have them.
    chosen, beside : str
        The ways that are shown, by the ids of their rows; ``beside`` may be empty.
    step : int
        The step of the chosen way that the neck shows.
    view : {"chart", "neck", "staff"}
    order : str
        The column by which the table is sorted; empty for the order in which ways are found.
    all_numbers : bool
        Whether the table has every measure.
    """

    text: str = ""
    name: str = ""
    number: int = 0
    moves: tuple[str, ...] = USUAL
    style: str = "usual"
    weights: Weights = field(default_factory=Weights)
    prefer: str = NO_ONE
    instrument: str = "ukulele"
    limits: Limits = field(default_factory=Limits)
    tempo: float = 0.0
    best: int = 5
    locked: frozenset[int] = frozenset()
    changes_a_bar: int = 0
    no_clashes: bool = False
    bass_player: bool = False
    chosen: str = "best-1"
    beside: str = ""
    step: int = 0
    view: str = "chart"
    order: str = ""
    all_numbers: bool = False

    @property
    def demands(self) -> Demands:
        """What must be kept whatever it costs."""
        return Demands(
            changes_a_bar=self.changes_a_bar or None,
            locked=self.locked,
            no_added_clashes=self.no_clashes,
        )

    @property
    def asked(self) -> tuple[object, ...]:
        """All on which the search depends: two states with the same are answered alike."""
        return tuple(getattr(self, name) for name in _ASKED)

    @property
    def hand(self) -> str:
        """The name of the limits."""
        levels = LEVELS[Instrument.named(self.instrument).family]
        return HANDS[levels.index(self.limits)] if self.limits in levels else HANDS[-1]


_ASKED = (
    "text", "number", "moves", "style", "weights", "prefer", "instrument", "limits", "tempo",
    "best", "locked", "changes_a_bar", "no_clashes", "bass_player",
)  # fmt: skip
_NUMBERS = {
    "max_fret": (0, 36, "a fret from 0 to 36"),
    "stretch_mm": (0, 300, "mm, from 0 to 300"),
    "tempo": (SLOWEST, FASTEST, f"quarters a minute, from {SLOWEST} to {FASTEST}; or nothing"),
    "best": (1, MOST_BEST, f"from 1 to {MOST_BEST}"),
    "changes_a_bar": (0, MOST_CHANGES, f"0 for any, or 1 to {MOST_CHANGES}"),
}
_DEAREST = 100_000
_WEIGHT, _MOVE = "weight-", "move-"


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
    moves = tuple(each for each in MOVES if (on if each == move else each in state.moves))
    return replace(state, moves=moves, prefer=state.prefer if state.prefer in moves else NO_ONE)


def _with_style(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    """Take on a style, and the move that it prefers."""
    name = str(value)
    if name == OWN_STYLE:
        return replace(state, style=name)
    prefer = STYLES[name].prefer
    moves = tuple(each for each in MOVES if each in state.moves or each == prefer)
    return replace(state, style=name, weights=STYLES[name].weights, prefer=prefer, moves=moves)


def _weighted(state: ReharmoniseState, weights: Weights) -> ReharmoniseState:
    named = next((name for name, style in STYLES.items() if style.weights == weights), OWN_STYLE)
    return replace(state, weights=weights, style=named)


def _with_prefer(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    """Prefer a move, which is then among those that may be used."""
    move = str(value)
    moves = tuple(each for each in MOVES if each in state.moves or each == move)
    return replace(state, prefer=move, moves=moves)


def _with_instrument(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    """Take another instrument; a level's limits become those of the same level there."""
    return _with_hand(replace(state, instrument=str(value)), state.hand)


def _with_hand(state: ReharmoniseState, value: Value) -> ReharmoniseState:
    place = HANDS.index(str(value))
    levels = LEVELS[Instrument.named(state.instrument).family]
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


Setter = Callable[[ReharmoniseState, Value], ReharmoniseState]
_SETTERS: Mapping[str, Setter] = {
    "style": _with_style,
    "prefer": _with_prefer,
    "instrument": _with_instrument,
    "hand": _with_hand,
    "barre": lambda s, value: replace(s, limits=replace(s.limits, barre=str(value))),
    "text": lambda s, value: replace(s, text=str(value), number=0),
    "number": lambda s, value: replace(s, number=int(str(value))),
}

OPTIONS: Mapping[str, tuple[str, ...]] = {
    "style": (*STYLES, OWN_STYLE),
    "prefer": (NO_ONE, *MOVES),
    "instrument": INSTRUMENTS,
    "hand": HANDS,
    "barre": BARRES,
    "view": VIEWS,
}
"""What a control that offers a choice may be set to."""

WEIGHTS = tuple(each.name for each in fields(Weights))
"""The names of the weights."""

CONTROLS = (
    "text", "number", *(f"{_MOVE}{move}" for move in MOVES), *OPTIONS, *_NUMBERS,
    *(f"{_WEIGHT}{name}" for name in WEIGHTS), "no_clashes", "bass_player", "all_numbers",
    "chosen", "beside", "order",
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


def toggled(state: ReharmoniseState, bar: int) -> ReharmoniseState:
    """Return the state with a bar locked, or unlocked if it was.

    Examples
    --------
    >>> sorted(toggled(ReharmoniseState(locked=frozenset((2,))), 5).locked)
    [2, 5]
    """
    return replace(state, locked=state.locked ^ {bar})
