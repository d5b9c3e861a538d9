"""What stands in the answer's line: typed, or put in by pressing notes and frets of the picture."""

from dataclasses import replace

from harmonykit.about.names import note_of
from harmonykit.errors import attempt
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.practice.theme import Theme
from harmonykit.practice.wording import read_notes
from harmonykit.workbook.panels.scenes import place_of
from harmonykit.workbook.practice.asking import ExerciseState, question_of

_FEW_STRINGS, _OPEN = 4, "?"


def written(state: ExerciseState, answer: str) -> ExerciseState:
    """Return the state with another answer in its line."""
    line = " ".join(answer.replace(";", ",").split())
    same = state.checked and line == state.answer
    return replace(state, answer=line, checked=same, yours=state.yours and same)


def pressed(state: ExerciseState, theme: Theme, part: str) -> ExerciseState:
    """Return the state after a part of the picture was pressed: it is written into the line.

    Examples
    --------
    >>> state = ExerciseState(kind="scale", medium="clock")
    >>> pressed(pressed(state, Theme(), "pc-8"), Theme(), "pc-9").answer
    'Ab A'
    """
    question = question_of(state, theme)
    form, given = question.form, question.seen.shape
    if part.startswith("way-"):
        return written(state, part.removeprefix("way-"))
    if part.startswith("pc-"):
        pc = int(part.removeprefix("pc-"))
        return written(state, (_move if form == "move" else _notes)(state.answer, pc))
    # One finger of a given shape is to move: the others stay where they are.
    line = state.answer or (given.digits if given is not None else "")
    return written(state, _frets(line, theme.neck, *place_of(part)))


def _named(answer: str) -> list[tuple[str, int]]:
    notes = attempt(read_notes, answer.replace(" to ", " ")) or ()
    return [(note.name, note.pitch_class) for note in notes]


def _notes(answer: str, pc: int) -> str:
    """Return the line with a note put in, or taken out again."""
    names = _named(answer)
    kept = [name for name, sounding in names if sounding != pc]
    return " ".join(kept if len(kept) < len(names) else [*kept, note_of(pc).name])


def _move(answer: str, pc: int) -> str:
    """Return the line with the note that moved, then also with where to; then anew."""
    names = _named(answer)
    name = note_of(pc).name
    return f"{names[0][0]} to {name}" if len(names) == 1 and names[0][1] != pc else name


def fret_line(answer: str, neck: Instrument) -> list[str]:
    """Return what stands for each string: a fret, x for muted, ? for not yet.

    Examples
    --------
    >>> fret_line("2-?-2-3", Theme().neck), fret_line("", Theme().neck)
    (['2', '?', '2', '3'], ['?', '?', '?', '?'])
    """
    strings = len(neck.strings)
    parts = answer.split("-")
    if len(parts) == strings and all(part in (_OPEN, "x") or part.isdigit() for part in parts):
        return parts
    if shape := attempt(Voicing.parse, answer, neck):
        return shape.digits.split("-")
    return [_OPEN if strings <= _FEW_STRINGS else "x"] * strings


def _frets(answer: str, neck: Instrument, string: int, fret: int) -> str:
    parts = fret_line(answer, neck)
    free = _OPEN if len(parts) <= _FEW_STRINGS else "x"
    parts[string] = free if parts[string] == str(fret) else str(fret)
    return "-".join(parts)
