"""What an arranger has set on the page: as a frozen value, as text that is kept; and likely keys.

``controls`` says which state follows when a control is set.  Tempo is in quarter notes a minute,
``0`` where the tune's own is meant; lengths are in mm.
"""

import json
import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from harmonykit.arrange.idioms.idiom import Idiom
from harmonykit.arrange.idioms.reading import parse_idioms
from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.arrange.offering import ALL_IDIOMS
from harmonykit.arrange.slots import Slot
from harmonykit.arrange.styles import STYLES, USUAL_STYLE
from harmonykit.arrange.weights import Weights
from harmonykit.arrange.wishes import USUAL_DENSITY, Demands
from harmonykit.errors import HarmonyError, attempt
from harmonykit.fretboard.hands.hand import LEVELS, Limits
from harmonykit.fretboard.strings.instrument import as_instrument
from harmonykit.score.typed import text_kind
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import LIKELIEST, find_keys
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, field, fields, replace
from harmonykit.words.former import current
from harmonykit.workbook.reharmonise import decisions
from harmonykit.workbook.reharmonise.decisions import Decisions, Tunes

OWN_STYLE = "your own"
NO_ONE, ANY = "", "0"
MOST_BEST = 12
MOST_CHANGES = 16
FIGURES = ("distances", "voices", "map")
"""Views that are figures of voice leading."""
VIEWS = ("chart", "neck", "staff", *FIGURES)
ALLOWED = (*MOVES, ALL_IDIOMS)
"""What may be ticked: every move by its name, and all idioms together."""
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
    idioms : str
        The text of the user's own idioms, the file beside the tune, or nothing.
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
    density, texture : str
        As ``reharmonise`` has them.
    decided : Decisions
        About the tune that is on the page.
    tunes : Tunes
        What was decided about others.
    changes_a_bar : int
        At most; 0 for any number.
    no_clashes, bass_player : bool
        As ``Demands`` and ``reharmonise`` have them.
    chosen, beside : str
        The ways that are shown, by the ids of their rows; ``beside`` may be empty.
    step : int
        The step of the chosen way that the neck shows.
    view : {"chart", "neck", "staff", "distances", "voices", "map"}
    order : str
        The column by which the table is sorted; empty for the order in which ways are found.
    all_numbers : bool
        Whether the table has every measure.
    """

    text: str = ""
    name: str = ""
    number: int = 0
    idioms: str = ""
    moves: tuple[str, ...] = USUAL
    style: str = USUAL_STYLE
    weights: Weights = STYLES[USUAL_STYLE].weights
    prefer: str = NO_ONE
    instrument: str = "ukulele"
    limits: Limits = field(default_factory=Limits)
    tempo: float = 0.0
    best: int = 5
    density: str = USUAL_DENSITY
    texture: str = ""
    decided: Decisions = field(default_factory=Decisions)
    tunes: Tunes = field(default_factory=Tunes)
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
    def own(self) -> Mapping[str, Idiom]:
        """The user's own idioms, by name."""
        return parse_idioms(self.idioms) if self.idioms else {}

    @property
    def locked(self) -> frozenset[int]:
        """The written numbers of the bars that stay as the tune has them."""
        return self.decided.locked

    def demands(self, slots: tuple[Slot, ...] = (), shown: Decisions | None = None) -> Demands:
        """Return what must be kept, whatever it costs, in a tune of these slots.

        What was decided is told as the tune is shown, where that has an intro or an ending.
        """
        decided = (shown or self.decided).fitting(slots)
        return Demands(
            changes_a_bar=self.changes_a_bar or None,
            locked=decided.locked,
            no_added_clashes=self.no_clashes,
            wanted=decided.wanted,
            refused=decided.refused,
        )

    @property
    def asked(self) -> tuple[object, ...]:
        """All on which the search depends: two states with the same are answered alike."""
        return tuple(getattr(self, name) for name in _ASKED)

    @property
    def hand(self) -> str:
        """The name of the limits."""
        levels = LEVELS[as_instrument(self.instrument).family]
        return HANDS[levels.index(self.limits)] if self.limits in levels else HANDS[-1]


_ASKED = (
    "text", "number", "idioms", "moves", "style", "weights", "prefer", "instrument", "limits",
    "tempo", "best", "density", "texture", "decided", "changes_a_bar", "no_clashes", "bass_player",
)  # fmt: skip


def with_tune(state: ReharmoniseState, text: str, name: str, number: int = 0) -> ReharmoniseState:
    """Return the state with another text; another tune has decisions of its own.

    Examples
    --------
    >>> first = toggled(ReharmoniseState(text="| C6 | A7 |"), 2)
    >>> second = with_tune(first, "| Gm6 | D7 |", "")
    >>> sorted(second.locked), sorted(with_tune(second, "| C6 | A7 | Dm7 |", "").locked)
    ([], [2])
    """
    before, after = decisions.mark_of(state.text, state.number), decisions.mark_of(text, number)
    tunes, decided = state.tunes.changed(state.decided, before, after)
    return replace(state, text=text, name=name, number=number, tunes=tunes, decided=decided)


def toggled(state: ReharmoniseState, bar: int) -> ReharmoniseState:
    """Return the state with a bar locked, or unlocked if it was.

    Examples
    --------
    >>> sorted(toggled(toggled(ReharmoniseState(text="| C6 | A7 |"), 2), 1).locked)
    [1, 2]
    """
    return replace(state, decided=state.decided.toggled(bar))


_SAID = re.compile(r"(?im)^[ \t]*key[ \t]*:.*\n?")


@lru_cache(maxsize=8)
def keys_offered(tune: Tune) -> tuple[tuple[Key, float], ...]:
    """Return the likeliest keys of a tune, and its own; none where no key can be told.

    Examples
    --------
    >>> [str(key) for key, _ in keys_offered(Tune.parse("| C | G | Am | F |"))]
    ['C major', 'A minor', 'G major']
    """
    found = attempt(find_keys, tune) or ()
    near = [pair for place, pair in enumerate(found) if place < LIKELIEST or pair[0] == tune.key]
    return tuple(near)


def with_key(state: ReharmoniseState, key: Key) -> ReharmoniseState:
    """Return the state with a key chosen: a message says it, of another tune it is remembered.

    Examples
    --------
    >>> typed = ReharmoniseState(text="Key: C\\n| C | Am |")
    >>> with_key(typed, Key.parse("A minor")).text
    'Key: A minor\\n| C | Am |'
    """
    if text_kind(state.text) != "|":
        return replace(state, decided=replace(state.decided, key=str(key)))
    text = f"Key: {key}\n{_SAID.sub('', state.text)}"
    return with_tune(state, text, state.name, state.number)


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
            settings["decided"] = {
                **decisions.to_plain(Decisions()),
                "locked": settings.pop("locked"),
            }
            settings["tunes"] = {"now": "", "others": []}
        for name, make in _MAKERS.items():
            settings[name] = make(settings[name])
        if settings["style"] in STYLES:  # what a style asks is not kept: it has its own weights
            settings["weights"] = STYLES[settings["style"]].weights
        return ReharmoniseState(text=kept["tune"], **settings)
    except (ValueError, TypeError, KeyError, AttributeError):
        raise HarmonyError("the saved settings cannot be read") from None


def _plain(value: Any) -> Any:
    if isinstance(value, (Weights, Limits)):
        return {each.name: getattr(value, each.name) for each in fields(value) if each.init}
    if isinstance(value, Decisions):
        return decisions.to_plain(value)
    if isinstance(value, Tunes):
        others = [[mark, decisions.to_plain(decided)] for mark, decided in value.others]
        return {"now": value.now, "others": others}
    return value


def _tunes(found: Mapping[str, Any]) -> Tunes:
    others = tuple((str(mark), decisions.from_plain(decided)) for mark, decided in found["others"])
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
    "decided": decisions.from_plain,
    "tunes": _tunes,
}
