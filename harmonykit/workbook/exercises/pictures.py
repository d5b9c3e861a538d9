"""What was said of an answer as a still picture: clock, neck, or the voices of a way."""

from __future__ import annotations

from harmonykit.errors import HarmonyError
from harmonykit.show.clock import draw_clock
from harmonykit.show.neck import draw_neck
from harmonykit.show.style import Drawing
from harmonykit.show.voices import draw_voices
from harmonykit.workbook.exercises.question import Question, Seen, Verdict


def draw_question(question: Question, palette: str = "colour") -> Drawing:
    """Draw what is seen with a question.

    Raises
    ------
    HarmonyError
        If nothing is seen with it: it is asked in words alone, or by ear.
    """
    return draw_seen(question.seen, palette)


def draw_verdict(verdict: Verdict, palette: str = "colour") -> Drawing:
    """Draw what goes with what is said of an answer.

    Examples
    --------
    >>> from harmonykit.workbook.exercises.kinds import Spec, ask
    >>> question = ask(Spec("harbour", 4, "parents"))
    >>> print(question.text)
    Lower D of G♯°7 by a semitone. Which dominant seventh is left?
    >>> draw_verdict(question.judge("C7")).alt.split("; ")[-1]
    'D falls to D flat'
    """
    return draw_seen(verdict.seen, palette)


def draw_seen(seen: Seen, palette: str = "colour") -> Drawing:
    """Draw what is seen: the best of some ways, a shape, or notes on the clock."""
    if seen.ways:
        start, end = seen.ways[seen.best or 0]
        names = (start.digits, end.digits)
        return draw_voices(((start, None), (end, None)), names=names, palette=palette)
    if seen.shape is not None:
        shapes = [(seen.shape, seen.chord)]
        letters = "none" if seen.nameless else "notes"
        moved = seen.before is not None and seen.before != seen.shape
        if moved and seen.before is not None:
            shapes.insert(0, (seen.before, None))
        return draw_neck(
            seen.shape.instrument, shapes, letters=letters, arrows=moved, palette=palette
        )
    if not seen.notes:
        raise HarmonyError("nothing is seen with it")
    return draw_clock(
        seen.chord or tuple(seen.notes),
        was=seen.old or tuple(seen.was) or None,
        moved=tuple((start, end) for start, end in seen.moves if start != end),
        title=seen.heading or None,
        subtitle="",
        names={note.pitch_class: note for note in seen.names},
        palette=palette,
    )
