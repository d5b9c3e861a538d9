"""One note moved: a diminished seventh whose notes are lowered or raised, and where that leads.

Lower one note by a semitone and a dominant seventh is left, its *parent*; raise one and a minor
sixth is left, which is a dominant ninth without its root.  Both lead to the root a fifth below the
note that was lowered, voice by voice.  Seen on clock, staff and neck, and heard.

Three layers: :func:`compute` is a pure function of the state, :func:`draw` a pure drawing of its
result, and :class:`OneNotePanel` a thin view.
"""

from __future__ import annotations

from typing import ClassVar

from harmonykit.draw.base.style import Drawing
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import raisings, resolutions
from harmonykit.theory.note import Note
from harmonykit.workbook.base.panel import Choice, Control, Panel, Value, changed
from harmonykit.workbook.base.scene import Scene, Shown
from harmonykit.workbook.base.sounds import Pitches
from harmonykit.workbook.panels.neck import INSTRUMENTS
from harmonykit.workbook.panels.neck_scene import place_of
from harmonykit.workbook.panels.one_note_move import (
    CHORDS,
    MOVES,
    OneNote,
    OneNoteState,
    compute,
)
from harmonykit.workbook.panels.one_note_scene import scene_of, show_on

__all__ = [
    "CHORDS",
    "OneNote",
    "OneNotePanel",
    "OneNoteState",
    "compute",
    "draw",
    "pressed",
    "scene",
    "show",
]


def scene(instrument: str) -> Scene:
    """Return the picture that is drawn once for an instrument."""
    return scene_of(instrument)


def show(result: OneNote) -> Shown:
    """Return how the parts of the picture look."""
    moved = result.moved
    moves = result.moves if result.stage == 2 else (moved,) if moved else ()
    shown = result.stage + 1
    return show_on(
        result.state.instrument,
        result.chords[:shown],
        result.shapes[:shown],
        tuple((move.start.pitch_class, move.end.pitch_class) for move in moves),
        tuple(str(move) for move in dict.fromkeys(moves)),
        result.facts,
    )


def draw(result: OneNote) -> Drawing:
    """Draw a result as a still picture."""
    return scene(result.state.instrument).still(show(result))


class OneNotePanel(Panel[OneNoteState]):
    """A diminished seventh on clock, staff and neck: press a note to lower it, again to raise it.

    Parameters
    ----------
    chord : Chord or str
    instrument : str

    Examples
    --------
    >>> panel = OneNotePanel("Adim7")
    >>> panel.press("pc-3")
    >>> print(panel.facts)
    Lower E♭ of A°7 by a semitone to D and D7 is left.
    >>> panel.set("onward", True)
    >>> panel.choice.chord
    Chord.parse('G')
    """

    kind: ClassVar[str] = "one-note"
    title: ClassVar[str] = "one note of a diminished seventh moved"

    def __init__(self, chord: Chord | str = "Adim7", instrument: str = "ukulele") -> None:
        read = Chord.parse(chord) if isinstance(chord, str) else chord
        first = next(iter(read.pcs))
        super().__init__(OneNoteState(read.symbol, note=first, instrument=instrument))

    @classmethod
    def _blank(cls) -> OneNoteState:
        return OneNoteState()

    def _scene(self, state: OneNoteState) -> Scene:
        return scene(state.instrument)

    def _shown(self, state: OneNoteState) -> Shown:
        return show(compute(state))

    def _controls(self, state: OneNoteState) -> tuple[Control, ...]:
        names = tuple(note.name for note in _notes(state))
        own = next(note.name for note in _notes(state) if note.pitch_class == state.note)
        chords = CHORDS if state.chord in CHORDS else (state.chord, *CHORDS)
        return (
            Control("chord", "choice", "chord", state.chord, chords),
            Control("note", "choice", "its note", own, names),
            Control("move", "choice", "move", state.move, MOVES),
            Control("onward", "check", "on to the target", state.onward),
            Control("instrument", "choice", "instrument", state.instrument, INSTRUMENTS),
        )

    def _after_press(self, state: OneNoteState, part: str) -> OneNoteState:
        if part.startswith("pc-"):
            return pressed(state, int(part.removeprefix("pc-")))
        result, (string, fret) = compute(state), place_of(part)
        if result.shapes[result.stage].frets[string] != fret:
            return state
        start = result.shapes[0].midi[string]
        return state if start is None else pressed(state, start % 12)

    def _after_set(self, state: OneNoteState, control: str, value: Value) -> OneNoteState:
        if control == "chord":
            first = next(iter(Chord.parse(str(value)).pcs))
            return changed(state, chord=str(value), note=first, move="none", onward=False)
        if control == "note":
            note = next(note for note in _notes(state) if note.name == value)
            move = "lower" if state.move == "none" else state.move
            return changed(state, note=note.pitch_class, move=move)
        if control == "onward":
            move = "lower" if value and state.move == "none" else state.move
            return changed(state, onward=bool(value), move=move)
        if control == "move":
            return changed(state, move=str(value), onward=state.onward and value != "none")
        return changed(state, instrument=str(value))

    def _chords(self, state: OneNoteState) -> tuple[Pitches, ...]:
        result = compute(state)
        return tuple(shape.sounding for shape in result.shapes[: result.stage + 1])

    def _choice(self, state: OneNoteState) -> Choice:
        result = compute(state)
        chord = result.chords[result.stage]
        return Choice(chord.pcs, chord)

    def _after_choice(self, state: OneNoteState, choice: Choice) -> OneNoteState:
        for symbol in (state.chord, *CHORDS):
            found = _reached(symbol, choice)
            if found:
                move, note = found
                return changed(state, chord=symbol, move=move, note=note, onward=False)
        return state


def pressed(state: OneNoteState, pc: int) -> OneNoteState:
    """Return the state after a note was pressed: lowered, then raised, then as it was.

    Examples
    --------
    >>> pressed(OneNoteState(), 6).move, pressed(OneNoteState(move="lower"), 3).move
    ('lower', 'raise')
    """
    step = {"lower": -1, "raise": 1, "none": 0}[state.move]
    if state.move != "none" and pc in (state.note, (state.note + step) % 12):
        after = {"lower": "raise", "raise": "none"}[state.move]
        return changed(state, move=after, onward=False)
    if pc not in Chord.parse(state.chord).pcs:
        return state
    return changed(state, note=pc, move="lower", onward=False)


def _notes(state: OneNoteState) -> tuple[Note, ...]:
    return Chord.parse(state.chord).tones


def _reached(symbol: str, choice: Choice) -> tuple[str, int] | None:
    """Return the move and the note that lead from a chord to a choice, if one does."""
    chord = Chord.parse(symbol)
    if chord.pcs == choice.notes:
        return "none", next(iter(chord.pcs))
    lowered = [("lower", way.lowered.start, way.parent) for way in resolutions(chord)]
    raised = [("raise", way.raised.start, way.sixth) for way in raisings(chord)]
    ways = (w for w in lowered + raised if w[2].pcs == choice.notes)
    return next(((move, note.pitch_class) for move, note, _ in ways), None)
