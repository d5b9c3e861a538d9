"""The page of questions: one file that asks, explains, sounds and remembers, without a server.

It has three hundred questions with their answers and reasons, the scheduler that brings them back,
and a code for the results, which ``home.codes`` reads.  Everything that it says is said by the
questions themselves when it is written: it only chooses which is asked, and asks nothing of any
other place.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import count
from typing import Any
from zlib import crc32

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.marks import ROLES, draw_mark
from harmonykit.draw.base.web import script
from harmonykit.draw.svg import VARIABLES, Pen, write_parts
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.home.codes import ORDER, SIGNS
from harmonykit.home.figures import chord_figure, figure_of, shape_figure
from harmonykit.lesson.page import shell
from harmonykit.lesson.plan.model import Lesson
from harmonykit.practice import choices, day, themes, wording
from harmonykit.practice.changes import Change, changes_played, named_changes
from harmonykit.practice.kinds import KINDS, USUAL, ask
from harmonykit.practice.question import LEVELS, Question, Spec
from harmonykit.practice.shapes import chord_heard
from harmonykit.practice.theme import Theme
from harmonykit.sound.chords import close_pitches
from harmonykit.sound.strung import numbers
from harmonykit.theory.chord import Chord

MOST = 300
SEED = "home"
_LOWEST = 57
_TRIES = 60
# What is typed or pressed in the workbook is chosen here.
_TOLD = {
    "Write its notes.": "Which are its notes?",
    "Write the note that is missing.": "Which note is missing?",
    "Write the notes that are missing.": "Which notes are missing?",
    "Move one finger by one fret, so that it becomes": "Move one finger by one fret to make",
    "Any of its four names will do.": "",
}
# What a wrong answer lacks is the right one, which the page shows beside it.
_LACKS = re.compile(
    r"(?:^|(?<=[.:;] ))(?:\S+(?:, \S+)*(?: and \S+)? (?:is|are) missing|One that works)\b.*$"
)
_SHAPE = re.compile(r"Find a shape of (.+?) on the .*")
_KEYS = re.compile(r",?\n[A-C]: [^\n]*")

Data = dict[str, Any]


def questions_of(theme: Theme, most: int = MOST) -> list[Data]:
    """Return questions about a theme, from plain to hard, each once.

    Where the theme has fewer than are wanted, the rest is about all chords of its instrument.

    Examples
    --------
    >>> asked = questions_of(Theme(diminished=("Bdim7",), kinds=("parents",)), 3)
    >>> [each["item"] for each in asked]
    ['parents: Bdim7: words', 'parents: Bdim7: clock', 'parents: Bdim7: neck']
    """
    found: dict[tuple[str, str], Data] = {}
    kinds: Counter[str] = Counter()
    many = 2 * most // len(theme.kinds or USUAL) + 1
    for about in (theme, Theme(theme.title, theme.instrument, kinds=theme.kinds)):
        for question in _drawn(about):
            if len(found) >= most:
                return list(found.values())
            key = (_put(question), question.answer)
            if key in found or kinds[question.spec.kind] >= many:
                continue
            if (data := as_data(question)) is not None:
                found[key] = data
                kinds[question.spec.kind] += 1
    return list(found.values())


def _drawn(theme: Theme) -> Iterator[Question]:
    """Yield questions level by level, kinds and ways of asking in turn."""
    names = theme.kinds or USUAL
    for level in range(1, LEVELS):
        fruitless = 0
        seen: set[tuple[str, str]] = set()
        for number in count(1):
            before = len(seen)
            for name in names:
                for medium in KINDS[name].media:
                    try:
                        question = ask(Spec(SEED, number, name, medium, level), theme)
                    except HarmonyError:
                        continue
                    seen.add((question.text, question.answer))
                    yield question
            fruitless = fruitless + 1 if len(seen) == before else 0
            if fruitless > 3 or number >= _TRIES:
                break


def as_data(question: Question) -> Data | None:
    """Return a question as plain data, or nothing where a page cannot put it."""
    offers = choices.offers_of(question)
    right = next((offer for offer in offers if offer.is_right), None)
    if right is None:
        return None
    spec = question.spec
    wrong = next((offer for offer in offers if not offer.is_right), right)
    # Of two ways the fuller reason is that of the wrong one.
    told = wrong.verdict if question.form == "letter" else question.judge(question.answer)
    why = _said(told.said)
    data: Data = {
        "item": question.item,
        "kind": spec.kind,
        "ask": _put(question),
        "place": _place(question, offers),
        "why": why,
        "offers": [_offer(question, offer, why) for offer in offers],
        "after": figure_of(question.judge(question.answer).seen),
        "before": figure_of(question.seen, plain=True),
    }
    heard = [list(pitches) for pitches in question.sounds if pitches]
    if spec.medium == "ear":
        data["hear"] = heard
        data["before"] = None
    elif question.form not in ("shape",) or question.seen.shape is not None:
        data["sound"] = heard
    return {name: value for name, value in data.items() if value is not None}


def _place(question: Question, offers: tuple[choices.Offer, ...]) -> str:
    if offers[0].at < 0:
        return "shapes" if question.form == "shape" else "list"
    return "clock" if question.form == "notes" else "strings"


def _put(question: Question) -> str:
    text = _SHAPE.sub(r"Which shape is \1?", _KEYS.sub("", question.text))
    for old, new in _TOLD.items():
        text = text.replace(old, new)
    return text.removesuffix(".").strip() + ("" if text.strip().endswith("?") else ".")


def _said(text: str) -> str:
    """Return a reason without the word whether it is right, which the page says by a mark."""
    for word in (wording.GOOD, wording.NEARLY, wording.NOT_YET):
        text = text.removeprefix(word).strip()
    return text


def _offer(question: Question, offer: choices.Offer, why: str) -> Data:
    data: Data = {"say": offer.label}
    if offer.at >= 0:
        data["at"] = offer.at
    if offer.is_right:
        data["right"] = 1
    else:
        said = _said(offer.verdict.said).replace(why, "").strip()
        data["why"] = _LACKS.sub("", said).strip()
    data |= _of_answer(question, offer)
    return data


def _of_answer(question: Question, offer: choices.Offer) -> Data:
    """Return what an answer sounds and looks like, where it is a chord or a shape."""
    if question.form == "shape":
        shape = Voicing.parse(offer.text, question.instrument)
        asked = offer.verdict.seen.chord
        heard_as = asked and chord_heard(shape, asked)
        chord = heard_as if heard_as and heard_as.pcs == shape.pcs else None
        figure = shape_figure(shape, chord, heard_as)
        data: Data = {"sound": [list(shape.sounding)], "figure": figure}
        if offer.at >= 0 and chord:
            data["name"] = chord.unicode
        return data
    if question.form == "chords":
        (chord,) = wording.read_chords(offer.text)[:1]
        tones = [note.pitch_class for note in chord.tones]
        low = min((pitch for each in question.sounds[:1] for pitch in each), default=_LOWEST)
        return {"sound": [list(close_pitches(tones, low - 1))], "figure": chord_figure(chord)}
    return {}


TITLE = "Chords, shapes and where they lead"
MOST_CHANGES = 24
_MARK_MM = 10.0
# So many questions at least are between two that have one answer.
_BETWEEN = 4


def mark_of(title: str) -> str:
    """Return three signs that stand for a page in results.

    Examples
    --------
    >>> len(mark_of("The stiff dominant"))
    3
    """
    number = crc32(title.encode())
    return "".join(SIGNS[(number >> shift) % 32] for shift in (10, 5, 0))


def title_of(theme: Theme) -> str:
    """Return the title of a page about a theme."""
    return theme.title or TITLE


def write_practice(theme: Theme, most: int = MOST, changes: Sequence[Change] | None = None) -> str:
    """Return a page of questions about a theme, as HTML.

    Parameters
    ----------
    theme : Theme
    most : int
        How many questions at most.
    changes : sequence of Change, optional
        The changes of shapes that are practised; those of the theme unless given.

    Examples
    --------
    >>> page = write_practice(Theme("Four dominants", diminished=("Bdim7",)), 5)
    >>> "Four dominants" in page, page.count("<script")
    (True, 3)
    """
    title = title_of(theme)
    practised = named_changes(theme) if changes is None else changes
    text = f'"use strict";\n{script("practice/page.js")}'
    style = shell.base_css() + shell.shared_text("practice.css")
    return shell.template("practice.html.jinja").render(
        title=title,
        policy=shell.policy(text, style),
        style=style,
        script=text,
        marks=marks(),
        music=shell.for_script(music(theme)),
        questions=shell.for_script(_book(theme, title, most, practised)),
    )


def write_lessons_practice(lesson: Lesson, most: int = MOST) -> str:
    """Return a page of questions about a lesson, with the changes that its levels play."""
    played = changes_played(each.arrangement for each in lesson.played)
    return write_practice(themes.theme_of(lesson.front), most, played)


def music(theme: Theme) -> dict[str, Any]:
    """What the page's sound reads: the open strings, and how a string sounds."""
    return {**numbers(theme.neck), "strings": theme.neck.midi, "levels": []}


def _book(theme: Theme, title: str, most: int, changes: Sequence[Change]) -> dict[str, Any]:
    questions = apart(questions_of(theme, most))
    kinds = {each["kind"] for each in questions}
    return {
        "title": title,
        "mark": mark_of(title),
        "strings": list(theme.neck.labels),
        "kinds": {name: kind.title for name, kind in KINDS.items() if name in kinds},
        "order": list(ORDER),
        "notebooks": []
        if theme.title
        else [[n, f"{n} {title}"] for n, title in day.TITLES.items()],
        "taught": {name: KINDS[name].taught for name in KINDS if name in kinds},
        "changes": [_change(theme, each) for each in changes[:MOST_CHANGES]],
        "questions": questions,
    }


def apart(questions: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return questions in their order, but for those whose answer was told just before.

    Such a one waits until a few others were asked, or none is left.
    """
    found: list[dict[str, Any]] = []
    left = list(questions)
    while left:
        told = {each["why"] for each in found[-_BETWEEN:]}
        at = next((n for n, each in enumerate(left) if each["why"] not in told), 0)
        found.append(left.pop(at))
    return found


def _change(theme: Theme, change: Change) -> dict[str, Any]:
    """Return a change of shapes as the page shows and sounds it."""
    sides, pitches = [], []
    rows = ((change.before, change.first), (change.after, change.second))
    for digits, symbol in rows:
        shape = Voicing.parse(digits, theme.neck)
        chord = Chord.parse(symbol) if symbol else None
        name = chord.unicode if chord is not None else digits
        sides.append({**shape_figure(shape, chord), "name": name, "say": digits})
        pitches.append([(midi, n) for n, midi in enumerate(shape.midi) if midi is not None])
    before, after = sides
    return {
        "id": f"{change.before}>{change.after}",
        "say": f"{before['name']} to {after['name']}",
        "label": change.label,
        "before": before,
        "after": after,
        "pitches": pitches,
    }


@lru_cache(maxsize=1)
def marks() -> str:
    """Return every mark once, 10 mm wide about the origin, to be used by its id."""
    pen = Pen(colours=VARIABLES)
    found = []
    for role in ROLES:
        canvas = Canvas(_MARK_MM, _MARK_MM)
        draw_mark(canvas, 0.0, 0.0, role, _MARK_MM)
        found.append(f'<g id="mark-{role}">{write_parts(canvas.parts, pen)}</g>')
    return f"<defs>{''.join(found)}</defs>"
