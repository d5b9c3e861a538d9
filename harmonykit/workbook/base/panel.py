"""What all panels have in common: a state, a pure result, a picture drawn once, and links.

A panel is three layers.  The functions of its module are the first two: a pure result of the
state, and a pure picture of that result.  The class is the third: it keeps the state, hands what
was pressed or set to a pure function that gives the next state, and sends what is then shown.
``panel.press("pc-3")`` and ``panel.set("axes", True)`` do what mouse and keyboard do.
"""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import Pitches, Sound, sound_of
from harmonykit.theory.chord import Chord
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.keep import read_state, write_state
from harmonykit.workbook.base.live import Answers, Live, Said, check_part, check_value
from harmonykit.workbook.base.scene import Scene, Shown

if TYPE_CHECKING:
    from harmonykit.workbook.base.view import PanelView

Value = str | bool
S = TypeVar("S")
P = TypeVar("P", bound="Panel[Any]")


@dataclass(frozen=True, slots=True)
class Control:
    """A button, a box to tick, a list to choose from, or a line to type in.

    Parameters
    ----------
    id : str
    kind : {"button", "check", "choice", "text"}
    label : str
    value : str or bool
    options : tuple of str
        Of a choice.
    enter : str
        The button that the Enter key presses in a line to type in, once what was typed is set.
    """

    id: str
    kind: str
    label: str
    value: Value = ""
    options: tuple[str, ...] = ()
    enter: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Return it as the browser reads it."""
        return {
            "id": self.id,
            "kind": self.kind,
            "label": self.label,
            "value": self.value,
            "options": list(self.options),
            "enter": self.enter,
        }


HEAR = Control("hear", "button", "Hear it")
SHARE = "share"


@dataclass(frozen=True, slots=True)
class Choice:
    """What linked panels have in common: the notes, and the chord where there is a name for it."""

    notes: PcSet
    chord: Chord | None = None


class Panel(Live["PanelView"], Generic[S]):
    """A drawing that answers; subclasses say what it is a drawing of."""

    kind: ClassVar[str]

    def __init__(self, state: S) -> None:
        self._state = state
        self._now = self._shown(state)
        self._linked: list[Panel[Any]] = []
        self._trouble = ""

    # What a subclass is made of: all of it pure.

    @abstractmethod
    def _scene(self, state: S) -> Scene: ...

    @abstractmethod
    def _shown(self, state: S) -> Shown: ...

    @abstractmethod
    def _controls(self, state: S) -> tuple[Control, ...]: ...

    @abstractmethod
    def _after_press(self, state: S, part: str) -> S: ...

    @abstractmethod
    def _after_set(self, state: S, control: str, value: Value) -> S: ...

    @abstractmethod
    def _chords(self, state: S) -> tuple[Pitches, ...]:
        """What sounds, chord after chord."""

    @abstractmethod
    def _choice(self, state: S) -> Choice:
        """What the panel shows, for linked ones."""

    def _unmoved(self, _part: str) -> str:
        """Say why a press changed nothing; nothing is said where all is as it was asked for."""
        return ""

    def _after_choice(self, state: S, _choice: Choice) -> S:
        """Return the state in which the panel shows a choice made elsewhere, as well as it can."""
        return state

    @classmethod
    @abstractmethod
    def _blank(cls) -> S:
        """A state with all defaults."""

    # What every panel can do.

    @property
    def state(self) -> S:
        """What the controls set; a new one can be assigned."""
        return self._state

    @state.setter
    def state(self, state: S) -> None:
        self._go(state)

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        return self._now.facts

    @property
    def choice(self) -> Choice:
        """The notes that the panel shows."""
        return self._choice(self._state)

    @property
    def trouble(self) -> str:
        """What was wrong with the last thing asked, or nothing."""
        return self._trouble

    def press(self, part: str) -> None:
        """Press a part of the drawing, as mouse and keyboard do.

        Raises
        ------
        HarmonyError
            If there is no such part.
        """
        check_part(part, self.parts())
        before = self._state
        self._go(self._after_press(before, part))
        if self._state == before:
            self._trouble = self._unmoved(part)
            self._show()

    def set(self, control: str, value: Value = "") -> None:
        """Set a control, or press its button.

        Raises
        ------
        HarmonyError
            If there is no such control, or its value cannot be.
        """
        check_value(control, value, {each.id: each.options for each in self.controls()})
        if control == HEAR.id:
            self._play()
        elif control == SHARE:
            self._go(read_state(self.kind, self._blank(), str(value)))
        else:
            self._go(self._after_set(self._state, control, value))

    def controls(self) -> tuple[Control, ...]:
        """Return the controls as they stand."""
        line = Control(SHARE, "text", "this panel as text", self.share())
        return (*self._controls(self._state), HEAR, line)

    def parts(self) -> tuple[str, ...]:
        """Return the ids of the parts that can be pressed."""
        return tuple(spot.id for spot in self._scene(self._state).spots if spot.press)

    def share(self) -> str:
        """Return the state as one line of text that another person can be given."""
        return write_state(self.kind, self._state)

    @classmethod
    def from_text(cls: type[P], text: str) -> P:
        """Return a panel in the state that a line of text stands for.

        Raises
        ------
        HarmonyError
            If it is not a line of this kind of panel.
        """
        panel = cls.__new__(cls)
        Panel.__init__(panel, read_state(cls.kind, cls._blank(), text))
        return panel

    def hear(self) -> Sound:
        """Return what the panel sounds, as a WAV file; nothing sounds for it is 0 s long."""
        return sound_of(self._chords(self._state))

    def draw(self) -> Drawing:
        """Return a still picture of the panel as it stands."""
        return self._scene(self._state).still(self._now)

    def _make_view(self) -> PanelView:
        from harmonykit.workbook.base.view import PanelView

        return PanelView(title=self.title)

    def __repr__(self) -> str:
        return f"<{type(self).__name__}: {self.share()}>"

    def _answers(self) -> Answers:
        return {
            "press": lambda said: self.press(said.text("press")),
            "set": lambda said: self.set(said.text("set"), said.content.get("value", "")),
        }

    def _answered(self, _said: Said, refused: HarmonyError | None) -> None:
        """Say what cannot be done in the line below the drawing."""
        self._trouble = str(refused).splitlines()[0] if refused else ""
        if self.view.shown["trouble"] != self._trouble:
            self._show()

    def _go(self, state: S, done: frozenset[int] = frozenset()) -> None:
        """Take on a state, and tell linked panels once each."""
        shown = self._shown(state)  # what cannot be shown is refused before anything changes
        self._state, self._now, self._trouble = state, shown, ""
        self._show()
        done = done | {id(self)}
        for other in self._linked:
            if id(other) not in done:
                other._go(other._after_choice(other._state, self.choice), done)

    def _show(self) -> None:
        if self._view is not None:
            controls = [control.as_dict() for control in self.controls()]
            scene = self._scene(self._state)
            self._view.show_scene(scene, self._now, controls, self._trouble)

    def _play(self) -> None:
        sound = self.hear()
        if self._view is not None:
            self._view.hand(sound.wav, sound=sound.seconds)


def link(*panels: Panel[Any]) -> None:
    """Link panels, so that a choice made in one is seen in all.

    Parameters
    ----------
    *panels : panel
        Panels that show notes.

    Raises
    ------
    HarmonyError
        If none is given.

    Examples
    --------
    >>> one, other = hk.workbook.ClockPanel("C7"), hk.workbook.ClockPanel("C7")
    >>> hk.workbook.link(one, other)
    >>> one.press("pc-10")
    >>> other.state.notes
    PcSet.of(0, 4, 7)
    """
    if not panels:
        raise HarmonyError("no panels to link", mend="hk.workbook.link(one, other)")
    for panel in panels:
        panel._linked += [each for each in panels if each not in (panel, *panel._linked)]
    first, *rest = panels
    ids = frozenset(id(each) for each in panels)
    for other in rest:
        other._go(other._after_choice(other._state, first.choice), ids)


def changed(state: S, **values: Any) -> S:
    """Return a state with some fields set to other values."""
    return replace(state, **values)  # type: ignore[type-var]
