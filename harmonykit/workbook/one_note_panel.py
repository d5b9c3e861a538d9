"""One note moved: a diminished seventh whose notes are lowered or raised, and where that leads.

Lower one note by a semitone and a dominant seventh is left, its *parent*; raise one and a minor
sixth is left, which is a dominant ninth without its root.  Both lead to the root a fifth below the
note that was lowered, voice by voice.  Seen on clock, staff and neck, and heard.

Three layers: :func:`compute` is a pure function of the state, :func:`draw` a pure drawing of its
result, and :class:`OneNotePanel` a thin view.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing, find_voicings
from harmonykit.show.style import Drawing, join_words
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Move, Raising, Resolution, raisings, resolutions
from harmonykit.theory.note import Note
from harmonykit.workbook.names import list_notes
from harmonykit.workbook.neck_panel import INSTRUMENTS
from harmonykit.workbook.neck_scene import place_of
from harmonykit.workbook.one_note_scene import scene_of, show_on
from harmonykit.workbook.panel import Choice, Control, Panel, Value, changed
from harmonykit.workbook.scene import Scene, Shown
from harmonykit.workbook.sounds import Pitches

MOVES = ("none", "lower", "raise")
ROOTS = "C C# D Eb E F F# G G# A Bb B".split()
CHORDS = tuple(f"{root}dim7" for root in ROOTS)


@dataclass(frozen=True, slots=True)
class OneNoteState:
    """What the panel's controls set.

    Parameters
    ----------
    chord : str
        A diminished seventh, by symbol.
    move : {"none", "lower", "raise"}
    note : int in 0..11
        The pitch class of the chord that is moved.
    onward : bool
        Whether the target is reached.
    instrument : str
    """

    chord: str = "Adim7"
    move: str = "none"
    note: int = 3
    onward: bool = False
    instrument: str = "ukulele"

    def __post_init__(self) -> None:
        chord = Chord.parse(self.chord)
        if not chord.is_diminished_seventh:
            raise HarmonyError(f"{self.chord} is no diminished seventh", mend="Adim7")
        if self.move not in MOVES:
            raise HarmonyError(f"a note cannot {self.move!r}", mend=", ".join(MOVES))
        if self.instrument not in INSTRUMENTS:
            raise HarmonyError(f"no neck for {self.instrument!r}", mend=", ".join(INSTRUMENTS))
        if self.note not in chord.pcs:
            notes = ", ".join(map(str, chord.pcs))
            raise HarmonyError(f"{self.note} is no note of {self.chord}", rule=f"they are {notes}")


@dataclass(frozen=True, slots=True)
class OneNote:
    """What a state comes to.

    Parameters
    ----------
    state : OneNoteState
    chords : tuple of Chord
        The diminished seventh; what is left of it; the triad on the target.
    shapes : tuple of Voicing
        One for each chord: each string moves by a few frets, or not at all.
    stage : int in 0..2
        Which of them is seen.
    way : Resolution or Raising or None
    moves : tuple of Move
        The voices on the way to the target, by string.
    """

    state: OneNoteState
    chords: tuple[Chord, ...]
    shapes: tuple[Voicing, ...]
    stage: int
    way: Resolution | Raising | None
    moves: tuple[Move, ...]

    @property
    def moved(self) -> Move | None:
        """The one note's step."""
        if isinstance(self.way, Resolution):
            return self.way.lowered
        return self.way.raised if self.way else None

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        first = self.chords[0]
        if self.way is None:
            notes = list_notes([note.pitch_class for note in first.tones], first)
            return f"{first.unicode} is {notes}: lower or raise one of its notes"
        if self.stage < 2:
            return self.way.lowering if isinstance(self.way, Resolution) else self.way.reason
        second, third = self.chords[1:]
        also = ""
        if isinstance(self.way, Raising):
            also = f", which is {self.parent.root.unicode}9 without its root,"
        steps = join_words([str(move) for move in dict.fromkeys(self.moves)])
        return f"{second.unicode}{also} leads to {third.unicode}: {steps}."

    @property
    def parent(self) -> Chord:
        """The dominant seventh on the semitone below the note that is moved."""
        return _resolution(self.state).parent


def compute(state: OneNoteState) -> OneNote:
    """Return what a state comes to.

    Examples
    --------
    >>> print(compute(OneNoteState("Adim7", "lower", 3)).facts)
    Lower E♭ of A°7 by a semitone to D and D7 is left.
    >>> print(compute(OneNoteState("Adim7", "raise", 3, onward=True)).facts)
    Am6, which is D9 without its root, leads to G: A falls to G, E falls to D, F♯ rises to G and C falls to B.
    """  # noqa: E501
    chord, instrument = Chord.parse(state.chord), Instrument.named(state.instrument)
    shape = first_shape(chord, instrument)
    if state.move == "none":
        return OneNote(state, (chord,), (shape,), 0, None, ())
    way: Resolution | Raising = _resolution(state) if state.move == "lower" else _raising(state)
    left = way.parent if isinstance(way, Resolution) else way.sixth
    target = Chord.of(_resolution(state).target, "")
    step = -1 if state.move == "lower" else 1
    second = _moved(shape, {state.note: step})
    ends = {move.start.pitch_class: move.end for move in _resolution(state).moves}
    ends[(state.note + step) % 12] = ends.pop(state.note)
    moves = tuple(
        Move(note.at(None), ends[note.pitch_class]) for note in second.spelled(left) if note
    )
    third = _moved(second, {move.start.pitch_class: move.semitones for move in moves})
    stage = 2 if state.onward else 1
    return OneNote(state, (chord, left, target), (shape, second, third), stage, way, moves)


def _resolution(state: OneNoteState) -> Resolution:
    ways = resolutions(Chord.parse(state.chord))
    return next(way for way in ways if way.lowered.start.pitch_class == state.note)


def _raising(state: OneNoteState) -> Raising:
    ways = raisings(Chord.parse(state.chord))
    return next(way for way in ways if way.raised.start.pitch_class == state.note)


@lru_cache(maxsize=64)
def first_shape(chord: Chord, instrument: Instrument) -> Voicing:
    """Return the lowest shape that leaves room for every note to fall by two frets.

    Examples
    --------
    >>> first_shape(Chord.parse("Adim7"), Instrument.named("ukulele")).digits
    '2-3-2-3'
    """
    shapes = find_voicings(chord, instrument, mutes=len(instrument.strings) > 4)
    roomy = [shape for shape in shapes if min(f for f in shape.frets if f is not None) >= 2]
    fullest = max(len(shape.sounding) for shape in roomy)
    full = [shape for shape in roomy if len(shape.sounding) == fullest]
    return min(full, key=lambda shape: (shape.stretch_mm // 20, shape.highest_fret))


def _moved(shape: Voicing, steps: dict[int, int]) -> Voicing:
    """Return a shape with the strings that sound a pitch class moved by so many frets."""
    frets = [
        fret if fret is None or midi is None else fret + steps.get(midi % 12, 0)
        for fret, midi in zip(shape.frets, shape.midi, strict=True)
    ]
    return Voicing(shape.instrument, tuple(frets))


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
