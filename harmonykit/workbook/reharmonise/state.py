"""What an arranger has set on the page of reharmonisation, as a frozen value.

``controls`` says which state follows when a control is set.  Tempo is in quarters a minute, ``0``
where the tune's own is meant; lengths are in mm.
"""

from dataclasses import dataclass, field, replace

from harmonykit.arrange.costs import Weights
from harmonykit.arrange.demands import Demands
from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.arrange.offering import ALL_IDIOMS
from harmonykit.arrange.slots import Slot
from harmonykit.arrange.wishes import USUAL_DENSITY
from harmonykit.fretboard.hands.limits import LEVELS, Limits
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.workbook.reharmonise.decisions import Decisions, Tunes, mark_of

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
    moves: tuple[str, ...] = USUAL
    style: str = "usual"
    weights: Weights = field(default_factory=Weights)
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
    def locked(self) -> frozenset[int]:
        """The written numbers of the bars that stay as the tune has them."""
        return self.decided.locked

    def demands(self, slots: tuple[Slot, ...] = ()) -> Demands:
        """Return what must be kept, whatever it costs, in a tune of these slots."""
        decided = self.decided.fitting(slots)
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
        levels = LEVELS[Instrument.named(self.instrument).family]
        return HANDS[levels.index(self.limits)] if self.limits in levels else HANDS[-1]


_ASKED = (
    "text", "number", "moves", "style", "weights", "prefer", "instrument", "limits", "tempo",
    "best", "density", "texture", "decided", "changes_a_bar", "no_clashes", "bass_player",
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
    before, after = mark_of(state.text, state.number), mark_of(text, number)
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
