"""Exercises as still pictures: what was said of an answer, and progress as a plot.

Conventions.  Answers stand in the order in which they were given, an equal step each, from left to
right.  The stairs are the level, 1 to 4; a disc is a right answer, a ring half a one or one with a
hint, a cross a wrong one, each on the level of its question.  The share of right answers counts
half ones as halves.
"""

import textwrap
from collections.abc import Sequence
from itertools import pairwise

from harmonykit.about.names import count
from harmonykit.draw.base.canvas import LABEL_PT, NAME_PT, NOTE_PT, SMALL_PT, Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD
from harmonykit.draw.sets.clock import ClockLook, draw_clock
from harmonykit.draw.shapes import neck, voices
from harmonykit.draw.tree import Point
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice.kinds import KINDS
from harmonykit.practice.progress import Progress, by_kind
from harmonykit.practice.question import LEVELS, RIGHT, WRONG, Question, Seen, Verdict
from harmonykit.practice.sitting import Answered

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
    Lower D of G♯°7 by a semitone. Which dominant seventh results?
    >>> hk.practice.draw_verdict(question.judge("C7")).alt.split("; ")[-1]
    'D falls to D flat'
    """
    return draw_seen(verdict.seen, palette)


def draw_seen(seen: Seen, palette: str = "colour") -> Drawing:
    """Draw what is seen: the best of some ways, a shape, or notes on the clock."""
    if seen.ways:
        start, end = seen.ways[seen.best or 0]
        return voices.draw_voices(((start, seen.old), (end, seen.chord)), palette=palette)
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
        return neck.draw_neck(
            shape.instrument, [(shape, seen.chord)], names=[name], letters=letters, palette=palette
        )
    shapes = [(seen.before, None), (shape, seen.chord)]
    names = ["before", name]
    return neck.draw_neck(
        shape.instrument, shapes, names=names, letters=letters, arrows=True, palette=palette
    )


MOST_SHOWN = 36
_NOTHING = "No answers yet. The plot begins with the first answer."
_WIDTH_MM, _LEFT_MM, _RIGHT_MM, _TOP_MM = 174.0, 56.0, 20.0, 9.0
_STRIP_MM, _STEP_MM, _KEY_MM = 23.0, 4.6, 7.0
_MARK_MM, _STAIRS_MM = 2.5, 0.45


def draw_progress(answers: Progress | Sequence[Answered], *, palette: str = "colour") -> Drawing:
    """Draw how level and right answers went, kind by kind.

    Parameters
    ----------
    answers : Progress or sequence of Answered
        Of each kind the last ``MOST_SHOWN`` are drawn; the shares count all of them.
    palette : str

    Returns
    -------
    Drawing
        Before the first answer a line that says so.

    Examples
    --------
    >>> asked = ("scale", "words", 1, 1.0, 0, "Ab")
    >>> row = [hk.practice.Answered("2031-05-04", "quay", n, *asked) for n in (1, 2)]
    >>> hk.practice.draw_progress(row).alt
    'Progress by kind. complete the scale: 2 answers, level 1, 100 % right'
    """
    given = answers.answers if isinstance(answers, Progress) else list(answers)
    rows = list(by_kind(given))
    if not rows:
        return _nothing_yet(palette)
    canvas = Canvas(_WIDTH_MM, _TOP_MM + _STRIP_MM * len(rows) + _KEY_MM, palette)
    canvas.text(_WIDTH_MM - 1.0, 4.0, "right", NOTE_PT, colour="soft", anchor="right")
    canvas.text(_LEFT_MM - 4.0, 4.0, "level", NOTE_PT, colour="soft", anchor="right")
    for place, (kind, own) in enumerate(rows):
        with canvas.group(f"kind-{kind}"):
            _strip(canvas, kind, own, _TOP_MM + _STRIP_MM * place)
    _key(canvas, _TOP_MM + _STRIP_MM * len(rows) + 4.0)
    return canvas.drawing("progress", describe(rows))


def _nothing_yet(palette: str) -> Drawing:
    canvas = Canvas(_WIDTH_MM, _TOP_MM, palette)
    canvas.letter(1.0, _TOP_MM / 2, _NOTHING, LABEL_PT, colour="soft", anchor="left")
    return canvas.drawing("progress", _NOTHING)


def share(answers: Sequence[Answered]) -> int:
    """Return the share of right answers in per cent, half ones counted as halves."""
    return round(100 * sum(each.score for each in answers) / len(answers))


def describe(rows: Sequence[tuple[str, Sequence[Answered]]]) -> str:
    """Return all that the plot shows, in words."""
    said = [
        f"{KINDS[kind].title}: {count(len(own), 'answer')}, {_levels(own)}, {share(own)} % right"
        for kind, own in rows
    ]
    return f"Progress by kind. {'; '.join(said)}"


def _levels(own: Sequence[Answered]) -> str:
    first, last = own[0].level, own[-1].level
    return f"level {last}" if first == last else f"from level {first} to {last}"


def _strip(canvas: Canvas, kind: str, own: Sequence[Answered], top: float) -> None:
    shown = own[-MOST_SHOWN:]
    middle = _height(top, 1) - 1.5 * _STEP_MM
    canvas.letter(1.0, middle - 2.2, KINDS[kind].title, LABEL_PT, weight=SEMIBOLD, anchor="left")
    total = count(len(own), "answer")
    canvas.letter(1.0, middle + 2.6, total, NOTE_PT, colour="soft", anchor="left")
    canvas.letter(_WIDTH_MM - 1.0, middle, f"{share(own)} %", LABEL_PT, anchor="right")
    for level in range(1, LEVELS + 1):
        y = _height(top, level)
        canvas.lines([[(_LEFT_MM, y), (_WIDTH_MM - _RIGHT_MM, y)]], 0.15, colour="hair")
        canvas.letter(_LEFT_MM - 4.0, y, str(level), SMALL_PT, colour="soft", anchor="right")
    places = [_place(top, each.level, n, len(shown)) for n, each in enumerate(shown)]
    canvas.lines([_stairs(places)], _STAIRS_MM)
    for place, each in zip(places, shown, strict=True):
        _mark(canvas, place, each)


def _height(top: float, level: int) -> float:
    return top + 3.0 + (LEVELS - level) * _STEP_MM


def _place(top: float, level: int, number: int, shown: int) -> Point:
    room = _WIDTH_MM - _LEFT_MM - _RIGHT_MM - 2 * _MARK_MM
    step = min(room / max(1, shown - 1), 3 * _MARK_MM)
    return _LEFT_MM + _MARK_MM + number * step, _height(top, level)


def _stairs(places: Sequence[Point]) -> list[Point]:
    """Return the course of the level: level, then up or down half way to the next answer."""
    course = [places[0]]
    for (x, y), (onward, height) in pairwise(places):
        half = (x + onward) / 2
        course += [(half, y), (half, height)] if y != height else []
        course.append((onward, height))
    return [*course, course[-1]] if len(course) == 1 else course


def _mark(canvas: Canvas, at: Point, each: Answered) -> None:
    x, y = at
    if each.score == WRONG:
        arm = 0.8
        canvas.circle(x, y, _MARK_MM, fill="paper")
        canvas.lines(
            [[(x - arm, y - arm), (x + arm, y + arm)], [(x - arm, y + arm), (x + arm, y - arm)]],
            0.55,
            colour="third",
        )
    elif each.score == RIGHT and not each.hints:
        canvas.circle(x, y, _MARK_MM, fill="seventh")
    else:
        canvas.circle(x, y, _MARK_MM - 0.5, fill="paper", stroke="seventh", width=0.5)


def _key(canvas: Canvas, y: float) -> None:
    marks = ((1.0, 0, "right"), (1.0, 1, "right with a hint, or half right"), (0.0, 0, "wrong"))
    x = _LEFT_MM + _MARK_MM
    for (score, hints, word), wide in zip(marks, (20.0, 50.0, 0.0), strict=True):
        _mark(canvas, (x, y), Answered("", "", 1, "scale", "words", 1, score, hints, ""))
        canvas.letter(x + 2.8, y, word, NOTE_PT, colour="soft", anchor="left")
        x += wide
    canvas.lines([[(x + 18.0, y), (x + 24.0, y)]], _STAIRS_MM)
    canvas.letter(x + 26.0, y, "level", NOTE_PT, colour="soft", anchor="left")
