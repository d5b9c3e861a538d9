"""What was said of an answer as a still picture: clock, neck, or the voices of a way."""

from __future__ import annotations

import textwrap

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.style import NAME_PT, SEMIBOLD
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.sets.clock import ClockLook, draw_clock
from harmonykit.draw.shapes.neck import draw_neck
from harmonykit.draw.shapes.voices import draw_voices
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.workbook.practice.question import Question, Seen, Verdict

_WIDEST, _LINE_MM = 74, 6.35


def with_words(picture: Drawing, words: str) -> Drawing:
    """Return a picture with words above it, in lines as wide as the picture.

    Examples
    --------
    >>> from harmonykit.draw.sets.clock import draw_clock
    >>> clock = draw_clock((0, 4, 7))
    >>> with_words(clock, "What is it?").height_mm > clock.height_mm
    True
    """
    lines = [line for part in words.splitlines() for line in textwrap.wrap(part, _WIDEST)]
    head = len(lines) * _LINE_MM + 1.4
    canvas = Canvas(picture.width_mm, picture.height_mm + head, picture.colours)
    for number, line in enumerate(lines):
        canvas.text(0, (number + 0.75) * _LINE_MM, line, NAME_PT, weight=SEMIBOLD, anchor="left")
    for part in picture.sheet.parts:
        canvas.add(part.moved(0, head))
    return canvas.drawing(picture.sheet.title, picture.alt)


def draw_question(question: Question, palette: str = "colour") -> Drawing:
    """Draw what is seen with a question.

    Parameters
    ----------
    question : Question
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If it has no chord, shape or notes to draw: it is asked in words alone, or by ear.

    Examples
    --------
    >>> question = hk.practice.ask(hk.practice.Spec("harbour", 1, "parents", "neck"))
    >>> hk.practice.draw_question(question).width_mm > 0
    True
    """
    return draw_seen(question.seen, palette)


def draw_verdict(verdict: Verdict, palette: str = "colour") -> Drawing:
    """Draw what goes with what is said of an answer.

    Parameters
    ----------
    verdict : Verdict
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Examples
    --------
    >>> question = hk.practice.ask(hk.practice.Spec("harbour", 4, "parents"))
    >>> print(question.text)
    Lower D of G♯°7 by a semitone. Which dominant seventh is left?
    >>> hk.practice.draw_verdict(question.judge("C7")).alt.split("; ")[-1]
    'D falls to D flat'
    """
    return draw_seen(verdict.seen, palette)


def draw_seen(seen: Seen, palette: str = "colour") -> Drawing:
    """Draw what is seen: the best of some ways, a shape, or notes on the clock."""
    if seen.ways:
        start, end = seen.ways[seen.best or 0]
        return draw_voices(((start, seen.old), (end, seen.chord)), palette=palette)
    if seen.shape is not None:
        return _draw_shape(seen, seen.shape, palette)
    if not seen.notes:
        raise HarmonyError("no chord, shape or notes to draw")
    return draw_clock(
        seen.chord or tuple(seen.notes),
        was=seen.old or tuple(seen.was) or None,
        moved=tuple((start, end) for start, end in seen.moves if start != end),
        title=seen.heading or None,
        subtitle="",
        palette=palette,
        look=ClockLook(names={note.pitch_class: note for note in seen.names}),
    )


def _draw_shape(seen: Seen, shape: Voicing, palette: str) -> Drawing:
    """Draw a shape, and how the strings go to it from the one before."""
    letters = "none" if seen.nameless else "notes"
    name = seen.chord.unicode if seen.chord else ""
    if seen.before is None or seen.before == shape:
        return draw_neck(
            shape.instrument, [(shape, seen.chord)], names=[name], letters=letters, palette=palette
        )
    shapes = [(seen.before, None), (shape, seen.chord)]
    names = ["as it was", name]
    return draw_neck(
        shape.instrument, shapes, names=names, letters=letters, arrows=True, palette=palette
    )
