"""One note moved: a diminished seventh whose notes are lowered or raised, and where that leads.

Lower one note by a semitone and the chord becomes a dominant seventh, its *parent*; raise one and
it becomes a minor sixth chord, which is a dominant ninth without its root.  Both lead to the root a
fifth below the note that was lowered, voice by voice.  Seen on clock, staff and neck, and heard.

Three layers: ``compute`` is a pure function of the state, ``draw`` a pure drawing of its
result, and ``OneNotePanel`` a thin view.  What the notes come to is worked out in
``one_note_move``.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import ClassVar

from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.sound.chords import Pitches
from harmonykit.theory import diminished, kin
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.words.numbers import join_words
from harmonykit.workbook.base.panel import Choice, Panel, changed
from harmonykit.workbook.base.scene import Control, Look, Scene, Shown, Spot, Value, with_own
from harmonykit.workbook.panels import one_note_move, scenes, staff_scene
from harmonykit.workbook.panels.neck import choose_neck
from harmonykit.workbook.panels.one_note_move import OneNote, OneNoteState
from harmonykit.workbook.panels.scenes import NECK_LINES, WIDE_MM, Neck, place_of


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
    >>> panel = hk.workbook.OneNotePanel("Adim7")
    >>> panel.press("pc-3")
    >>> print(panel.facts)
    Lower E♭ of A°7 by a semitone to D: the chord becomes D7.
    >>> panel.set("onward", True)
    >>> panel.choice.chord
    Chord.parse('G')
    >>> panel.press("pc-1")
    >>> print(panel.trouble)
    D flat: it is not a note of A°7; press one of A, C, E♭ and G♭
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
        return show(one_note_move.compute(state))

    def _controls(self, state: OneNoteState) -> tuple[Control, ...]:
        names = tuple(note.name for note in _notes(state))
        own = next(note.name for note in _notes(state) if note.pitch_class == state.note)
        chords = with_own(state.chord, one_note_move.CHORDS)
        printed = tuple(Chord.parse(each).unicode for each in chords)
        signs = tuple(note.unicode for note in _notes(state))
        return (
            Control("chord", "choice", "chord", state.chord, chords, printed=printed),
            Control("note", "choice", "note to move", own, names, printed=signs),
            Control("move", "choice", "move", state.move, one_note_move.MOVES),
            Control("onward", "check", "resolve to the target", state.onward),
            choose_neck(state.instrument),
        )

    def _after_press(self, state: OneNoteState, part: str) -> OneNoteState:
        if part.startswith("pc-"):
            return pressed(state, int(part.removeprefix("pc-")))
        result, (string, fret) = one_note_move.compute(state), place_of(part)
        if result.shapes[result.stage].frets[string] != fret:
            return state
        start = result.shapes[0].midi[string]
        return state if start is None else pressed(state, start % 12)

    def _unmoved(self, asked: str) -> str:
        """Name what was pressed, and what can be moved."""
        name = self._now.looks[asked].name.rpartition(", ")[0]
        chord = Chord.parse(self._state.chord)
        if asked.startswith("string-"):
            return f"{name}: the shape is not held there; press one of its marks"
        notes = join_words([note.unicode for note in chord.tones])
        return f"{name}: it is not a note of {chord.unicode}; press one of {notes}"

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
        result = one_note_move.compute(state)
        return tuple(shape.sounding for shape in result.shapes[: result.stage + 1])

    def _choice(self, state: OneNoteState) -> Choice:
        result = one_note_move.compute(state)
        chord = result.chords[result.stage]
        return Choice(chord.pcs, chord)

    def _after_choice(self, state: OneNoteState, choice: Choice) -> OneNoteState:
        for symbol in (state.chord, *one_note_move.CHORDS):
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
    lowered = [("lower", way.lowered.start, way.parent) for way in diminished.resolutions(chord)]
    raised = [("raise", way.raised.start, way.sixth) for way in kin.raisings(chord)]
    ways = (w for w in lowered + raised if w[2].pcs == choice.notes)
    return next(((move, note.pitch_class) for move, note, _ in ways), None)


_STAFF_AT = (94.0, 2.0)
_LIST_AT = (100.0, 4.0 + staff_scene.HIGH_MM + 4.0)
_ROW_MM, _MOST_ROWS = 5.5, 6
_GAP_MM = 4.0


@lru_cache(maxsize=8)
def scene_of(instrument: str) -> Scene:
    """Return the picture that is drawn once for an instrument."""
    neck, staff = _neck(instrument), _staff(instrument)
    canvas = Canvas(WIDE_MM, scenes.SIDE_MM + _GAP_MM + neck.high)
    scenes.ring(canvas)
    staff.draw(canvas)
    neck.draw(canvas)
    x, y = _LIST_AT
    rows = tuple(
        Spot(f"move-{n + 1}", x, y + n * _ROW_MM, press=False, anchor="start")
        for n in range(_MOST_ROWS)
    )
    return Scene(
        WIDE_MM,
        scenes.SIDE_MM + _GAP_MM + neck.high,
        (*canvas.parts, staff.clef()),
        (*scenes.clock_spots(), *neck.spots(), *staff.spots(), *rows),
        (*scenes.CLOCK_LINES, *NECK_LINES, *staff_scene.STAFF_LINES),
        staff_scene.head_marks(),
        "moving one note of a diminished seventh, on the clock, the staff and the neck",
    )


def _neck(instrument: str) -> Neck:
    return Neck(Instrument.named(instrument), (0.0, scenes.SIDE_MM + _GAP_MM))


def _staff(instrument: str) -> staff_scene.Staff:
    return staff_scene.Staff.for_neck(Instrument.named(instrument), 3, _STAFF_AT)


def show_on(
    instrument: str,
    chords: Sequence[Chord],
    shapes: Sequence[Voicing],
    moves: Sequence[tuple[int, int]],
    said: Sequence[str],
    facts: str,
) -> Shown:
    """Return how the parts look once some chords were reached, the last of them seen."""
    neck, staff = _neck(instrument), _staff(instrument)
    chord, shape = chords[-1], shapes[-1]
    old, before = (chords[-2], shapes[-2]) if len(chords) > 1 else (None, None)
    was = old.pcs if old else PcSet(0)
    looks = scenes.clock_looks(chord.pcs, chord, was, old)
    looks |= neck.looks(chord.pcs, chord, shape, before)
    columns = [_column(shapes, chords, n) for n in range(len(chords))]
    looks |= staff.looks(columns, [each.unicode for each in chords])
    looks |= {f"move-{n + 1}": Look("plain", text) for n, text in enumerate(said[:_MOST_ROWS])}
    courses = scenes.clock_courses(chord.pcs, was, moves=moves) | neck.courses(shape, before)
    return Shown(looks, courses | {"ledgers": staff.ledgers(columns)}, facts)


def _column(shapes: Sequence[Voicing], chords: Sequence[Chord], place: int) -> staff_scene.Chordal:
    """Return a chord's notes as they are played, those ringed that have just moved."""
    now = shapes[place].midi
    before = shapes[place - 1].midi if place else now
    notes = zip(shapes[place].spelled(chords[place]), now, before, strict=True)
    return [
        (note, "head" if midi == old else "head-moved")
        for note, midi, old in notes
        if note is not None
    ]
