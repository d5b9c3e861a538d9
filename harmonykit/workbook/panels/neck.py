"""The neck panel: the notes of a set on the strings, and the shapes that sound just them.

Three layers: ``compute`` is a pure function of the state, ``draw`` a pure drawing of its
result, and ``NeckPanel`` a thin view.
"""

from __future__ import annotations

from functools import lru_cache
from typing import ClassVar

from harmonykit.about import names as naming
from harmonykit.about.names import Given
from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes import finding, voicing
from harmonykit.fretboard.strings import shipped
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.chords import Pitches, close_pitches
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.naming import in_thirds
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words
from harmonykit.workbook.base.panel import Choice, Panel, changed
from harmonykit.workbook.base.scene import Control, Look, Scene, Shown, Spot, Value
from harmonykit.workbook.panels.scenes import NECK_LINES, WIDE_MM, Neck, place_of

_HEAD_MM, _NAME_PT = 8.0, 13.0


def check_neck(instrument: str) -> None:
    """Refuse an instrument that is unknown."""
    Instrument.named(instrument)


def choose_neck(instrument: str) -> Control:
    """Return the control that chooses the instrument whose neck is shown."""
    offered = tuple(dict.fromkeys((*shipped.names(), instrument)))
    return Control("instrument", "choice", "instrument", instrument, offered)


@dataclass(frozen=True, slots=True)
class NeckState:
    """What the panel's controls set.

    Parameters
    ----------
    notes : PcSet
        The notes that are on.
    chord : str
        The symbol of the chord that they are meant as, or nothing.
    instrument : str
        By name; all that ship are offered beside it.
    shape : int
        Which of the shapes found is held, counted from 1; 0 for none.
    """

    notes: PcSet = naming.NO_NOTES
    chord: str = ""
    instrument: str = "ukulele"
    shape: int = 0

    def __post_init__(self) -> None:
        check_neck(self.instrument)
        naming.chord_of(self.notes, self.chord)
        found = len(shapes_of(self.notes, self.chord, self.instrument)) if self.shape else 0
        if not 0 <= self.shape <= found:
            raise HarmonyError(
                f"unknown shape {self.shape}", rule=f"shapes 0 to {found}, 0 for none"
            )


@dataclass(frozen=True, slots=True)
class Held:
    """What a state comes to: the chord, the shapes found, and the one that is held."""

    state: NeckState
    chord: Chord | None
    shapes: tuple[voicing.Voicing, ...]

    @property
    def shape(self) -> voicing.Voicing | None:
        """The shape that is held."""
        return self.shapes[self.state.shape - 1] if self.state.shape else None

    @property
    def name(self) -> str:
        """What stands above the neck."""
        names = naming.chord_names(self.state.notes, self.chord)
        name = "  ".join(names[:2]) or self.state.notes.forte_name
        return f"{name}  {self.shape.digits}" if self.shape else name

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        notes = naming.list_notes(self.state.notes, self.chord)
        names = join_words(list(naming.chord_names(self.state.notes, self.chord)))
        head = f"{notes}{f', {names},' if names else ''} on the {self.state.instrument}"
        if self.shape is None:
            return f"{head}: {naming.count(len(self.shapes), 'shape')} to step through"
        stretch = f", {self.shape.stretch_mm:.0f} mm of stretch"
        return (
            f"{head}: {self.shape.digits}, shape {self.state.shape} of {len(self.shapes)}"
            f"{stretch if self.shape.stretch_mm else ''}"
        )


def compute(state: NeckState) -> Held:
    """Return what a state comes to.

    Examples
    --------
    >>> result = compute(NeckState(PcSet.of(0, 3, 6, 9), "Adim7", shape=1))
    >>> result.shape.digits, result.name
    ('2-3-2-3', 'A°7  C°7  2-3-2-3')
    """
    chord = naming.chord_of(state.notes, state.chord)
    return Held(state, chord, shapes_of(state.notes, state.chord, state.instrument))


@lru_cache(maxsize=256)
def shapes_of(notes: PcSet, symbol: str, instrument: str) -> tuple[voicing.Voicing, ...]:
    """Return the shapes of a chord, the most usual first, or those that sound just these notes.

    Examples
    --------
    >>> [shape.digits for shape in shapes_of(PcSet.of(0, 3, 6, 9), "", "ukulele")][:2]
    ['2-3-2-3', '5-3-2-0']
    """
    neck = Instrument.named(instrument)
    if symbol and notes:
        return finding.find_voicings(Chord.parse(symbol), neck)
    if not notes or len(notes) > len(neck.strings):
        return ()
    return finding.find_voicings(_any_chord(notes, symbol), neck, wanted=finding.Wanted(omit=()))


def _any_chord(notes: PcSet, symbol: str) -> Chord:
    """Return a chord with just these notes: what is not named is spelled out in thirds."""
    if symbol:
        return Chord.parse(symbol)
    lowest = next(iter(notes))
    return Chord.build(naming.note_of(lowest), in_thirds(notes.transpose(-lowest)))


@lru_cache(maxsize=8)
def scene(instrument: str) -> Scene:
    """Return the picture that is drawn once for an instrument."""
    neck = _neck(instrument)
    canvas = Canvas(WIDE_MM, _HEAD_MM + neck.high)
    neck.draw(canvas)
    name = Spot("name", 16.0, 3.5, point=_NAME_PT, press=False, anchor="start")
    return Scene(
        WIDE_MM,
        _HEAD_MM + neck.high,
        canvas.parts,
        (*neck.spots(), name),
        NECK_LINES,
        title=f"the neck of a {instrument}",
    )


def _neck(instrument: str) -> Neck:
    return Neck(Instrument.named(instrument), (0.0, _HEAD_MM))


def show(result: Held) -> Shown:
    """Return how the parts of the picture look."""
    state, neck = result.state, _neck(result.state.instrument)
    looks = neck.looks(state.notes, result.chord, result.shape)
    looks["name"] = Look("none", result.name if state.notes else "")
    return Shown(looks, neck.courses(result.shape), result.facts)


def draw(result: Held) -> Drawing:
    """Draw a result as a still picture."""
    return scene(result.state.instrument).still(show(result))


class NeckPanel(Panel[NeckState]):
    """A neck whose notes are turned on and off, and whose shapes are stepped through.

    Parameters
    ----------
    notes : Chord, PcSet or str
        A chord's symbol, if it is text.
    instrument : str
        By name; all that ship are offered beside it.

    Examples
    --------
    >>> panel = hk.workbook.NeckPanel("C6")
    >>> panel.set("next")
    >>> print(panel.facts.split(", shape")[0])
    C, E, G and A, C6 and Am7, on the ukulele: 0-0-0-0
    """

    kind: ClassVar[str] = "neck"
    title: ClassVar[str] = "a neck"

    def __init__(self, notes: Given = naming.NO_NOTES, instrument: str = "ukulele") -> None:
        pcs, chord = naming.read_notes(notes)
        super().__init__(NeckState(pcs, chord.symbol if chord else "", instrument))

    @classmethod
    def _blank(cls) -> NeckState:
        return NeckState()

    def _scene(self, state: NeckState) -> Scene:
        return scene(state.instrument)

    def _shown(self, state: NeckState) -> Shown:
        return show(compute(state))

    def _controls(self, state: NeckState) -> tuple[Control, ...]:
        return (
            Control("previous", "button", "Previous shape"),
            Control("next", "button", "Next shape"),
            Control("all", "button", "All notes"),
            choose_neck(state.instrument),
        )

    def _after_press(self, state: NeckState, part: str) -> NeckState:
        string, fret = place_of(part)
        pressed = PcSet.of(Instrument.named(state.instrument).pitch(string, fret))
        return changed(state, notes=state.notes ^ pressed, chord="", shape=0)

    def _after_set(self, state: NeckState, control: str, value: Value) -> NeckState:
        if control == "instrument":
            return changed(state, instrument=str(value), shape=0)
        found = len(shapes_of(state.notes, state.chord, state.instrument))
        if control == "all" or not found:
            return changed(state, shape=0)
        way = 1 if control == "next" else -1
        start = state.shape or (0 if way > 0 else 1)
        return changed(state, shape=(start - 1 + way) % found + 1)

    def _chords(self, state: NeckState) -> tuple[Pitches, ...]:
        shape = compute(state).shape
        if shape is not None:
            return (shape.sounding,)
        return (close_pitches(list(state.notes)),) if state.notes else ()

    def _choice(self, state: NeckState) -> Choice:
        return Choice(state.notes, Chord.parse(state.chord) if state.chord else None)

    def _after_choice(self, state: NeckState, choice: Choice) -> NeckState:
        symbol = choice.chord.symbol if choice.chord else ""
        return changed(state, notes=choice.notes, chord=symbol, shape=0)
