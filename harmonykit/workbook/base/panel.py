"""What all panels have in common: a state, a pure result, a picture drawn once, and links.

A panel is three layers.  The functions of its module are the first two: a pure result of the
state, and a pure picture of that result.  The class is the third: it keeps the state, hands what
was pressed or set to a pure function that gives the next state, and sends what is then shown.
``panel.press("pc-3")`` and ``panel.set("axes", True)`` do what mouse and keyboard do.
"""

from __future__ import annotations

from abc import abstractmethod
from copy import copy
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import Clip, Pitches, sound_of
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.values import dataclass, replace
from harmonykit.workbook.base import keep, live
from harmonykit.workbook.base.scene import HEAR, SHARE, Control, Scene, Shown, Standing, Value

if TYPE_CHECKING:
    from harmonykit.workbook.base.view import PanelView

S = TypeVar("S")
P = TypeVar("P", bound="Panel[Any]")


@dataclass(frozen=True, slots=True)
class Choice:
    """What linked panels have in common: the notes, and the chord where there is a name for it."""

    notes: PcSet
    chord: Chord | None = None


class Panel(live.Live["PanelView"], Generic[S]):
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

    def _unmoved(self, asked: str) -> str:
        """Say why what was pressed, a part or a button, changed nothing."""
        look = self._now.looks.get(asked)
        return f"{look.name}: this changes nothing here" if look else ""

    def _after_choice(self, state: S, _choice: Choice) -> S:
        """Return the state in which the panel shows a choice made elsewhere, as well as it can."""
        return state

    @classmethod
    @abstractmethod
    def _blank(cls) -> S:
        """A state with all defaults."""

    # What every panel can do.

    def at(self, state: S) -> Standing:
        """Return what the panel would show and sound in a state, and change nothing.

        Raises
        ------
        HarmonyError
            If the state cannot be shown.
        """
        controls = (*self._controls(state), HEAR)
        return Standing(
            self._scene(state), self._shown(state), controls, tuple(self._chords(state))
        )

    def following(self, state: S, verb: str, name: str, value: Value = "") -> S:
        """Return the state to which a press or a control would lead, and change nothing.

        Parameters
        ----------
        state : object
        verb : {"press", "set"}
        name : str
        value : str or bool

        Raises
        ------
        HarmonyError
            If it leads to nothing that can be.
        """
        if verb == "press":
            return self._after_press(state, name)
        return self._after_set(state, name, value)

    def staying(self, state: S, shown: Shown, asked: str) -> str:
        """Return what is said of a press that changes nothing in a state."""
        there = copy(self)
        there._state, there._now = state, shown
        return there._unmoved(asked)

    def agreeing(self, state: S, choice: Choice) -> S:
        """Return the state in which it would show a choice made elsewhere, as well as it can."""
        return self._after_choice(state, choice)

    def choice_in(self, state: S) -> Choice:
        """Return what linked panels would be told in a state."""
        return self._choice(state)

    @property
    def linked(self) -> tuple[Panel[Any], ...]:
        """The panels that are told of what is chosen here."""
        return tuple(self._linked)

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
        live.check_part(part, self.parts())
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
        there = {each.id: each for each in self.controls()}
        live.check_value(control, value, {name: each.options for name, each in there.items()})
        if control == HEAR.id:
            self._play()
        elif control == SHARE:
            self._go(keep.read_state(self.kind, self._blank(), keep.state_in(str(value))))
        else:
            before = self._state
            self._go(self._after_set(before, control, value))
            if self._state == before and there[control].kind == "button":
                self._trouble = self._unmoved(control)
                self._show()

    def controls(self) -> tuple[Control, ...]:
        """Return the controls as they stand."""
        line = Control(SHARE, "copy", "Copy a line that opens this", self.line())
        return (*self._controls(self._state), HEAR, line)

    def parts(self) -> tuple[str, ...]:
        """Return the ids of the parts that can be pressed."""
        return tuple(spot.id for spot in self._scene(self._state).spots if spot.press)

    def share(self) -> str:
        """Return the state as one line of text that another person can be given."""
        return keep.write_state(self.kind, self._state)

    def line(self) -> str:
        """Return what opens the panel in this state, as a line of a notebook.

        Examples
        --------
        >>> print(hk.workbook.ClockPanel("C6").line())
        hk.workbook.ClockPanel.from_text("clock 1; notes=0479; chord=C6")
        """
        return keep.write_line(type(self).__name__, self.share())

    @classmethod
    def from_text(cls: type[P], text: str) -> P:
        """Return a panel in the state that a line of text stands for.

        Raises
        ------
        HarmonyError
            If it is not a line of this kind of panel.
        """
        panel = cls.__new__(cls)
        Panel.__init__(panel, keep.read_state(cls.kind, cls._blank(), text))
        return panel

    def hear(self) -> Clip:
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

    def _answers(self) -> live.Answers:
        return {
            "press": lambda said: self.press(said.text("press")),
            "set": lambda said: self.set(said.text("set"), said.content.get("value", "")),
        }

    def _do(self, said: live.Said) -> None:
        """Do what is asked; what was wrong before is no longer said."""
        self._trouble = ""
        super()._do(said)

    def _answered(self, _said: live.Said, refused: HarmonyError | None) -> None:
        """Say what cannot be done in the line below the drawing."""
        if refused:
            self._trouble = refused.what + (f"; try: {refused.mend}" if refused.mend else "")
        if self.view.shown["trouble"] != self._trouble:
            self._show()

    def _go(self, state: S, done: frozenset[int] = frozenset()) -> None:
        """Take on a state, and tell linked panels once each."""
        shown = self._shown(state)  # what cannot be shown is refused before anything changes
        self._state, self._now, self._trouble = state, shown, ""
        self._show()
        # Who hears of it from this one hears it from no other: each shows what was chosen here.
        told = [other for other in self._linked if id(other) not in done]
        done = done | {id(self), *map(id, told)}
        for other in told:
            other._go(other.agreeing(other._state, self.choice), done)

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
        other._go(other.agreeing(other._state, first.choice), ids)


def changed(state: S, **values: Any) -> S:
    """Return a state with some fields set to other values."""
    return replace(state, **values)  # type: ignore[type-var]
