"""The pictures of exercises: a clock, a neck or ways along necks, each drawn once.

Before an answer, notes that are given stand open and notes that were pressed stand solid; after it
the notes of the right answer show what they do, those before it are dashed, and what was pressed
and is wrong is a tension.  Lengths are in mm.
"""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from harmonykit.about.names import NO_NOTES, note_of
from harmonykit.draw.base.canvas import HUB_PT, NOTE_PT, Canvas
from harmonykit.draw.base.given import spoken
from harmonykit.draw.tree import Outline
from harmonykit.errors import HarmonyError, attempt
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.practice import sitting, smoother, wording
from harmonykit.practice.question import LEVELS, Question, Seen
from harmonykit.practice.theme import Theme
from harmonykit.theory.diminished import Move
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.base.scene import Line, Look, Scene, Shown, Spot
from harmonykit.workbook.panels import scenes
from harmonykit.workbook.panels.scenes import NECK_LINES, WIDE_MM, Neck
from harmonykit.workbook.practice.asking import Asked, ExerciseState
from harmonykit.workbook.practice.writing_in import fret_line

_COLUMN_MM, _HEAD_MM, _WAY_MM = 96.0, 14.0, 12.0
_TOP_MM, _FOOT_MM = 5.0, scenes.SIDE_MM - 6.0
_ROW_MM, _ROWS_AT_MM, _MOST_ROWS = 6.0, 30.0, 6
_STEP_MM, _LEVEL_MM, _RIGHT_MM = 6.5, 121.0, 163.0


def scene_of(question: Question) -> Scene:
    """Return the picture that a question is shown in."""
    if question.form == "letter":
        return _ways_scene(question.instrument, _number(question))
    if question.form == "shape" or question.seen.shape is not None:
        return _neck_scene(question.instrument, press=question.form == "shape")
    return _clock_scene(press=question.form in ("notes", "move"))


@lru_cache(maxsize=2)
def _clock_scene(*, press: bool) -> Scene:
    canvas = Canvas(WIDE_MM, scenes.SIDE_MM)
    scenes.ring(canvas)
    _name_stairs(canvas, _FOOT_MM)
    rows = tuple(
        Spot(f"row-{n + 1}", _COLUMN_MM, _ROWS_AT_MM + n * _ROW_MM, press=False, anchor="start")
        for n in range(_MOST_ROWS)
    )
    return Scene(
        WIDE_MM,
        scenes.SIDE_MM,
        canvas.parts,
        (
            *scenes.clock_spots(press=press),
            _heading(_COLUMN_MM, 14.0),
            *rows,
            *_stairs(_FOOT_MM),
        ),
        scenes.CLOCK_LINES,
        title="the clock of an exercise",
    )


def _number(question: Question) -> int:
    """Return how many ways are to be chosen from: each is heard as two chords and a silence."""
    return (len(question.sounds) + 1) // 3


@lru_cache(maxsize=16)
def _neck_scene(instrument: Instrument, *, press: bool) -> Scene:
    neck = _neck(instrument)
    canvas = Canvas(WIDE_MM, _HEAD_MM + neck.high)
    neck.draw(canvas)
    _name_stairs(canvas, _TOP_MM)
    spots = (*neck.spots(press=press), _heading(16.0, _TOP_MM), *_stairs(_TOP_MM))
    return Scene(
        canvas.width,
        canvas.height,
        canvas.parts,
        spots,
        NECK_LINES,
        title="the neck of an exercise",
    )


@lru_cache(maxsize=16)
def _ways_scene(instrument: Instrument, number: int) -> Scene:
    necks = _necks(instrument, number)
    canvas = Canvas(WIDE_MM, _HEAD_MM + number * necks[0].high)
    _name_stairs(canvas, _TOP_MM)
    spots: list[Spot] = [_heading(16.0, _TOP_MM), *_stairs(_TOP_MM)]
    lines: list[Line] = []
    for letter, neck in zip(smoother.LETTERS, necks, strict=False):
        neck.draw(canvas)
        middle = (neck.place(0, 0)[1] + neck.place(neck.strings - 1, 0)[1]) / 2
        spots.append(Spot(f"way-{letter}", _WAY_MM / 2, middle, 8.0, 13.0, across=10.0))
        spots += [replace(spot, id=f"{letter}-{spot.id}") for spot in neck.spots(press=False)]
        lines += [replace(line, id=f"{letter}-{line.id}") for line in NECK_LINES]
    return Scene(
        canvas.width,
        canvas.height,
        canvas.parts,
        tuple(spots),
        tuple(lines),
        title="ways along the neck",
    )


def _neck(instrument: Instrument) -> Neck:
    return Neck(instrument, (0.0, _HEAD_MM))


def _necks(instrument: Instrument, number: int) -> list[Neck]:
    first = _neck(instrument)
    wide = WIDE_MM - _WAY_MM
    return [
        Neck(first.instrument, (_WAY_MM, _HEAD_MM + n * first.high), wide) for n in range(number)
    ]


def _heading(x: float, y: float) -> Spot:
    return Spot("heading", x, y, point=HUB_PT, press=False, anchor="start")


def _stairs(y: float) -> tuple[Spot, ...]:
    """Return places for the level, and for the right answers in a row, at the right."""
    level = [
        Spot(f"level-{n + 1}", _LEVEL_MM + n * _STEP_MM, y, 5.0, 9.0, press=False)
        for n in range(LEVELS)
    ]
    row = [
        Spot(f"right-{n + 1}", _RIGHT_MM + n * 4.0, y, 2.4, press=False)
        for n in range(sitting.UP_AFTER)
    ]
    return (*level, *row)


def _name_stairs(canvas: Canvas, y: float) -> None:
    """Write what level and row are, beside them."""
    for x, word in ((_LEVEL_MM - 4.5, "level"), (_RIGHT_MM - 3.0, "in a row")):
        canvas.letter(x, y, word, NOTE_PT, colour="soft", anchor="right")


def show(asked: Asked) -> Shown:
    """Return how the parts of the picture look, with the question above and the facts below."""
    facts = asked.facts
    if asked.state.yours:
        asked = replace(asked, verdict=None, question=_with_yours(asked))
        return replace(_show(asked), facts=facts)
    return _show(asked)


def _with_yours(asked: Asked) -> Question:
    """Return the question with the chord that was given in place of what is seen with it."""
    question = asked.question
    if question.form != "chords":
        return question
    chord, seen = wording.read_chords(asked.state.answer)[0], question.seen
    return replace(
        question, seen=Seen(chord.unicode, chord.pcs, chord, was=seen.notes, old=seen.chord)
    )


def _show(asked: Asked) -> Shown:
    question, seen = asked.question, asked.verdict.seen if asked.verdict else asked.question.seen
    if question.form == "letter":
        looks, lines = _ways(question, seen, asked)
    elif question.form == "shape" or question.seen.shape is not None:
        looks, lines = _held(question, seen, asked)
    else:
        looks, lines = _clock(question, seen, asked)
    heading = seen.heading or question.seen.heading
    looks |= {"heading": Look("none", heading)} | _standing(asked.state)
    return Shown(looks, lines, asked.facts, question.text)


def _standing(state: ExerciseState) -> dict[str, Look]:
    now = state.standing(state.kind)
    looks = {
        f"level-{n}": Look("note" if n == now.level else "off", str(n))
        for n in range(1, LEVELS + 1)
    }
    return looks | {
        f"right-{n}": Look("note" if n <= now.right else "fifth")
        for n in range(1, sitting.UP_AFTER + 1)
    }


Parts = tuple[dict[str, Look], Mapping[str, Outline]]


def _clock(question: Question, seen: Seen, asked: Asked) -> Parts:
    mine = _written(question, asked.state.answer)
    looks = scenes.clock_looks(seen.notes, seen.chord, seen.was, seen.old)
    for note in seen.names:
        look = looks[f"pc-{note.pitch_class}"]
        said = f"{spoken(note)}, {look.name.split(', ')[1]}"
        looks[f"pc-{note.pitch_class}"] = look._replace(text=note.unicode, name=said)
    if question.form not in ("notes", "move"):
        courses = scenes.clock_courses(seen.notes, seen.was, moves=seen.moves)
        return looks | _rows(seen), courses
    for pc in range(12):
        looks[f"pc-{pc}"] = _pressable(looks[f"pc-{pc}"], pc, mine, seen, asked)
    moves = seen.moves or _own_move(question, asked.state.answer)
    return looks | _rows(seen), scenes.clock_courses(seen.notes, seen.was, moves=moves)


def _pressable(look: Look, pc: int, mine: PcSet, seen: Seen, asked: Asked) -> Look:
    """Return the look of a note that can be pressed: open, solid, or wrong."""
    said = "yours" if pc in mine else "given" if pc in seen.notes else "off"
    name = f"{look.name.split(', ')[0]}, {said}"
    if asked.verdict is None:
        role = "note" if pc in mine else "fifth" if pc in seen.notes else "off"
        return Look(role, look.text, name, pc in mine)
    wrong = pc in mine and pc not in seen.notes and pc not in seen.was
    return look._replace(
        role="tension" if wrong else look.role,
        name=f"{look.name}{', yours' if pc in mine else ''}",
        on=pc in mine,
    )


def _written(question: Question, answer: str) -> PcSet:
    """Return the notes that an answer names, or none while it cannot be read."""
    try:
        notes = wording.read_move(answer) if question.form == "move" else wording.read_roots(answer)
    except HarmonyError:
        try:
            notes = wording.read_roots(answer)
        except HarmonyError:
            return NO_NOTES
    return PcSet.of(*(note.pitch_class for note in notes))


def _own_move(question: Question, answer: str) -> tuple[tuple[int, int], ...]:
    if question.form != "move":
        return ()
    move = attempt(wording.read_move, answer)
    return ((move[0].pitch_class, move[1].pitch_class),) if move else ()


def _rows(seen: Seen) -> dict[str, Look]:
    """Return how the notes moved, in words, beside the clock."""
    named = {note.pitch_class: note for note in seen.names}
    said = [
        str(Move(note_of(start, seen.old), named.get(end) or note_of(end, seen.chord)))
        for start, end in seen.moves
    ]
    return {f"row-{n}": Look("plain", text) for n, text in enumerate(said[:_MOST_ROWS], 1)}


def _held(question: Question, seen: Seen, asked: Asked) -> Parts:
    neck = _neck(question.instrument)
    if asked.verdict is None and question.form == "shape":
        shape = _partial(asked.state.answer, question.instrument)
        before, chord = question.seen.shape, None
    else:
        shape, before = seen.shape or question.seen.shape, seen.before
        chord = seen.chord if asked.verdict else None
    nameless = seen.nameless and asked.verdict is None
    looks = neck.looks(NO_NOTES, chord, shape, before)
    held = set() if shape is None else set(_parts(shape))
    for part, look in looks.items():
        text = "" if nameless else look.text
        looks[part] = look._replace(text=text, on=part in held)
    return looks, neck.courses(shape, before)


def _parts(shape: Voicing) -> list[str]:
    frets = enumerate(shape.frets, 1)
    return [f"string-{string}-fret-{fret}" for string, fret in frets if fret is not None]


def _partial(answer: str, neck: Instrument) -> Voicing | None:
    """Return as much of a shape as was pressed so far, or none of it."""
    parts = fret_line(answer, neck)
    frets = tuple(int(part) if part.isdigit() else None for part in parts)
    if all(fret is None for fret in frets):
        return None
    return attempt(Voicing, neck, frets)


def _ways(question: Question, seen: Seen, asked: Asked) -> Parts:
    ways = seen.ways or question.seen.ways
    looks: dict[str, Look] = {}
    lines: dict[str, Outline] = {}
    for place, neck in enumerate(_necks(question.instrument, _number(question))):
        letter = smoother.LETTERS[place]
        mine = asked.state.answer.strip().upper() == letter
        role = "root" if seen.best == place else "note" if mine else "fifth"
        said = ", yours" if mine else ""
        said += ", the least movement" if seen.best == place else ""
        looks[f"way-{letter}"] = Look(role, letter, f"way {letter}{said}", mine)
        if ways:
            start, end = ways[place]
            own = neck.looks(NO_NOTES, None, end, start)
            looks |= {f"{letter}-{part}": look for part, look in own.items()}
            courses = neck.courses(end, start)
            lines |= {f"{letter}-{name}": course for name, course in courses.items()}
    return looks, lines


def prepare(theme: Theme) -> None:
    """Draw the pictures that will be needed, so that no question has to wait for its own."""
    for press in (True, False):
        _clock_scene(press=press)
        _neck_scene(theme.neck, press=press)
    for number in (2, 3):
        _ways_scene(theme.neck, number)
