"""The turning clock: a set of notes turned by semitones, with what stays and what is new.

Three layers: ``turned`` is a pure function of the state, ``draw_turned`` a pure drawing of
its result, and ``TurnPanel`` a thin view that reads a slider and shows both.

Notebook: 01_diminished_symmetry
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from harmonykit.draw.drawing import Drawing
from harmonykit.draw.sets.clock import draw_clock
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted, join_words

if TYPE_CHECKING:
    from ipywidgets import VBox


@dataclass(frozen=True, slots=True)
class TurnState:
    """What the control sets: the notes, and by how many semitones they are turned (0 to 11)."""

    notes: PcSet
    semitones: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.semitones <= 11:
            raise HarmonyError(f"a turn of {self.semitones} semitones", rule="0 to 11 semitones")


@dataclass(frozen=True, slots=True)
class Turned:
    """The notes after the turn, and what they have in common with those before it."""

    state: TurnState
    notes: PcSet
    common: PcSet

    @property
    def same(self) -> bool:
        """Whether the turn gives the same notes again."""
        return self.notes == self.state.notes

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        turn = f"turned by {counted(self.state.semitones, 'semitone')}"
        if self.same:
            return f"{turn}: {_names(self.notes)}; the same notes"
        verb = "stays" if len(self.common) == 1 else "stay"
        kept = f"{_names(self.common)} {verb}" if self.common else "no note stays"
        return f"{turn}: {_names(self.notes)}; {kept}"


def turned(state: TurnState) -> Turned:
    """Return the notes of a state, turned.

    Examples
    --------
    >>> print(turned(TurnState(PcSet.of(0, 3, 6, 9), 3)).facts)
    turned by 3 semitones: C, E♭, F♯ and A; the same notes
    >>> print(turned(TurnState(PcSet.of(0, 4, 7), 4)).facts)
    turned by 4 semitones: E, A♭ and B; E stays
    """
    notes = state.notes.transpose(state.semitones)
    return Turned(state, notes, PcSet.from_mask(notes.mask & state.notes.mask))


def draw_turned(result: Turned) -> Drawing:
    """Draw the turned notes on the clock, with the notes before them dashed."""
    was = None if result.same else tuple(result.state.notes)
    title = f"+{result.state.semitones}" if result.state.semitones else "0"
    word = "the same notes" if result.same else f"{len(result.common) or 'none'} in common"
    return draw_clock(tuple(result.notes), was=was, moved=(), title=title, subtitle=word)


def _names(notes: PcSet) -> str:
    return join_words([_plain(pc) for pc in notes])


def _plain(pitch_class: int) -> str:
    name = Note.from_midi(60 + pitch_class, flats=pitch_class != 6)
    return name.unicode


class TurnPanel:
    """A clock with a slider that turns a chord or a set by semitones.

    Parameters
    ----------
    notes : Chord or PcSet

    Examples
    --------
    >>> panel = hk.workbook.TurnPanel(hk.Chord.parse("Cdim7"))
    >>> panel.slider.value = 1
    >>> print(panel.facts.value)
    turned by 1 semitone: D♭, E, G and B♭; no note stays
    """

    def __init__(self, notes: Chord | PcSet) -> None:
        import ipywidgets as widgets

        self._notes = notes.pcs if isinstance(notes, Chord) else notes
        self.slider = widgets.IntSlider(
            value=0, min=0, max=11, description="turn", continuous_update=True
        )
        self.picture = widgets.HTML()
        self.facts = widgets.HTML()
        self.view: VBox = widgets.VBox([self.slider, self.picture, self.facts])
        self.view.add_class("harmonykit-turn")
        self.slider.observe(self._show, names="value")
        self._show()

    @property
    def state(self) -> TurnState:
        """The state as the slider has it."""
        return TurnState(self._notes, int(self.slider.value))

    def _show(self, _change: object = None) -> None:
        result = turned(self.state)
        self.picture.value = draw_turned(result).alone()
        self.facts.value = result.facts

    def _repr_mimebundle_(self, **_asked: object) -> dict[str, Any]:
        """Return the live view, and beside it text and a still picture for where none is alive."""
        result = turned(self.state)
        bundle: dict[str, Any] = dict(self.view._repr_mimebundle_())
        bundle["text/plain"] = result.facts
        bundle["image/svg+xml"] = draw_turned(result).alone()
        return bundle
