"""The clock panel: turn notes on, transpose, invert; see symmetry, class, vector and names.

Three layers: ``compute`` is a pure function of the state, ``draw`` a pure drawing of its
result, and ``ClockPanel`` a thin view.
"""

from __future__ import annotations

from functools import lru_cache
from typing import ClassVar

from harmonykit.about import names as naming
from harmonykit.about.names import Given
from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import Pitches, close_pitches
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words
from harmonykit.workbook.base.panel import Choice, Panel, changed
from harmonykit.workbook.base.scene import Control, Look, Scene, Shown, Spot, Value
from harmonykit.workbook.panels import scenes

_FOOT_MM, _NAME_PT = 9.0, 13.0


@dataclass(frozen=True, slots=True)
class ClockState:
    """What the panel's controls set.

    Parameters
    ----------
    notes : PcSet
        The notes that are on.
    was : PcSet
        Those before the last turn or mirror, shown dashed; none after a note was pressed.
    chord : str
        The symbol of the chord that the notes are meant as, or nothing.
    axes : bool
        Whether the axes are drawn about which the set is its own mirror image.
    mirror : int in 0..11
        The n of the inversion TnI, which sends x to n - x.
    """

    notes: PcSet = naming.NO_NOTES
    was: PcSet = naming.NO_NOTES
    chord: str = ""
    axes: bool = False
    mirror: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.mirror <= 11:
            raise HarmonyError(f"unknown operation T{self.mirror}I", rule="0 to 11")
        naming.chord_of(self.notes, self.chord)


@dataclass(frozen=True, slots=True)
class Clock:
    """What a state comes to.

    Parameters
    ----------
    state : ClockState
    chord : Chord or None
        What the notes are, if they can be but one chord or one was said.
    names : tuple of str
        Chords with just these notes.
    kept : PcSet
        Notes that were there before the last turn or mirror too.
    """

    state: ClockState
    chord: Chord | None
    names: tuple[str, ...]
    kept: PcSet

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        notes = self.state.notes
        turns, mirrors = notes.symmetry
        parts = [
            f"{naming.list_notes(notes, self.chord)}: {notes.tn_name}, vector "
            f"{naming.digits(notes.interval_vector)}",
            f"unchanged by {naming.count(turns, 'turn')} and {naming.count(mirrors, 'mirror')}",
        ]
        if self.state.was:
            kept, was = naming.count(len(self.kept), "note"), naming.list_notes(self.state.was)
            common = f"{kept} in common with {was}"
            parts.append("the same notes as before" if self.state.was == notes else common)
        return "; ".join([*parts, join_words(list(self.names)) or "no chord name"])


def compute(state: ClockState) -> Clock:
    """Return what a state comes to.

    Examples
    --------
    >>> print(compute(ClockState(PcSet.of(0, 4, 7))).facts)
    C, E and G: 3-11B, vector 0 0 1 1 1 0; unchanged by 1 turn and no mirrors; C
    """
    chord = naming.chord_of(state.notes, state.chord)
    return Clock(state, chord, naming.chord_names(state.notes, chord), state.notes & state.was)


@lru_cache(maxsize=1)
def scene() -> Scene:
    """Return the picture that is drawn once."""
    canvas = Canvas(scenes.SIDE_MM, scenes.SIDE_MM + _FOOT_MM)
    scenes.ring(canvas)
    name = Spot("names", scenes.SIDE_MM / 2, scenes.SIDE_MM + 2.5, point=_NAME_PT, press=False)
    return Scene(
        scenes.SIDE_MM,
        scenes.SIDE_MM + _FOOT_MM,
        canvas.parts,
        (*scenes.clock_spots(), name),
        scenes.CLOCK_LINES,
        title="a clock of twelve notes",
    )


def show(result: Clock) -> Shown:
    """Return how the parts of the picture look."""
    state = result.state
    looks = scenes.clock_looks(state.notes, result.chord, state.was)
    looks["names"] = Look("none", "  ".join(result.names) or state.notes.forte_name)
    courses = scenes.clock_courses(state.notes, state.was, axes=state.axes)
    return Shown(looks, courses, result.facts)


def draw(result: Clock) -> Drawing:
    """Draw a result as a still picture."""
    return scene().still(show(result))


class ClockPanel(Panel[ClockState]):
    """A clock whose notes are turned on and off, transposed and mirrored.

    Parameters
    ----------
    notes : Chord, PcSet or str
        A chord's symbol, if it is text.
    axes : bool
        Whether the axes of symmetry are drawn.

    Examples
    --------
    >>> panel = hk.workbook.ClockPanel("C6")
    >>> panel.set("up")
    >>> print(panel.facts.split(";")[0])
    D♭, F, A♭ and B♭: 4-26, vector 0 1 2 1 2 0
    >>> hk.workbook.ClockPanel.from_text(panel.share()).state == panel.state
    True
    """

    kind: ClassVar[str] = "clock"
    title: ClassVar[str] = "a clock of twelve notes"

    def __init__(self, notes: Given = naming.NO_NOTES, *, axes: bool = False) -> None:
        pcs, chord = naming.read_notes(notes)
        super().__init__(ClockState(pcs, chord=chord.symbol if chord else "", axes=axes))

    @classmethod
    def _blank(cls) -> ClockState:
        return ClockState()

    def _scene(self, _state: ClockState) -> Scene:
        return scene()

    def _shown(self, state: ClockState) -> Shown:
        return show(compute(state))

    def _controls(self, state: ClockState) -> tuple[Control, ...]:
        return (
            Control("down", "button", "Transpose down a half step"),
            Control("up", "button", "Transpose up a half step"),
            Control("mirror", "choice", "mirror", f"T{state.mirror}I", _MIRRORS),
            Control("invert", "button", "Mirror"),
            Control("complement", "button", "Show the other notes"),
            Control("axes", "check", "axes", state.axes),
        )

    def _after_press(self, state: ClockState, part: str) -> ClockState:
        pressed = PcSet.of(int(part.removeprefix("pc-")))
        return changed(state, notes=state.notes ^ pressed, was=naming.NO_NOTES, chord="")

    def _after_set(self, state: ClockState, control: str, value: Value) -> ClockState:
        if control == "axes":
            return changed(state, axes=bool(value))
        if control == "mirror":
            return changed(state, mirror=_MIRRORS.index(str(value)))
        if control in _TURNS:
            return turned(state, _TURNS[control])
        notes = state.notes
        after = notes.invert(state.mirror) if control == "invert" else notes.complement
        was = notes if control == "invert" else naming.NO_NOTES
        return changed(state, notes=after, was=was, chord="")

    def _chords(self, state: ClockState) -> tuple[Pitches, ...]:
        return (close_pitches(list(state.notes)),) if state.notes else ()

    def _choice(self, state: ClockState) -> Choice:
        return Choice(state.notes, Chord.parse(state.chord) if state.chord else None)

    def _after_choice(self, state: ClockState, choice: Choice) -> ClockState:
        symbol = choice.chord.symbol if choice.chord else ""
        return changed(state, notes=choice.notes, was=naming.NO_NOTES, chord=symbol)


def turned(state: ClockState, semitones: int) -> ClockState:
    """Return the state with its notes turned, and those before them dashed.

    Examples
    --------
    >>> turned(ClockState(PcSet.of(0, 3, 6, 9)), 3).notes
    PcSet.of(0, 3, 6, 9)
    """
    notes = state.notes.transpose(semitones)
    symbol = naming.turned_symbol(state.chord, notes, semitones)
    return changed(state, notes=notes, was=state.notes, chord=symbol)


_TURNS = {"up": 1, "down": -1}
_MIRRORS = tuple(f"T{n}I" for n in range(12))
