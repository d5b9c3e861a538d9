"""What is said round a lesson's text: how it stands, what is proved, minutes and cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from harmonykit.about.names import count
from harmonykit.draw.base.canvas import LABEL_PT, NAME_PT, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD
from harmonykit.lesson import activities, script
from harmonykit.lesson.plan.model import Chart, Lesson, cautions_of, said_of_rights
from harmonykit.lesson.statements.claims import claims_of
from harmonykit.words.numbers import join_words, plural
from harmonykit.workbook.writing import beside, judge
from harmonykit.workbook.writing.reader import Look
from harmonykit.workbook.writing.typed import WritingState, fingerprint

if TYPE_CHECKING:
    from harmonykit.draw.base.canvas import Canvas


def shown_verdicts(look: Look) -> list[list[Any]]:
    """Return what is listed: the fault of the header, every statement, every other fault."""
    head = [] if look.fault is None else [judge.verdict_of(look.fault, judge.USELESS)]
    return [
        _listed(each) for each in (*head, *look.verdicts) if each.wrong or each.kind == judge.PROVED
    ]


def _listed(verdict: judge.Verdict) -> list[Any]:
    return [
        verdict.line,
        verdict.column,
        verdict.kind,
        verdict.source,
        verdict.said,
        verdict.how,
        verdict.mend,
        verdict.text,
        verdict.caret,
    ]


def summary(look: Look) -> str:
    """Return in a sentence how the statements of a text stand.

    Examples
    --------
    >>> kinds = (judge.PROVED, judge.FALSE)
    >>> verdicts = tuple(judge.Verdict(3 + n, 1, "a()", kind) for n, kind in enumerate(kinds))
    >>> summary(Look(verdicts=verdicts))
    '1 statement is proved, 1 fails (line 4).'
    >>> summary(Look())
    'No statement yet.'
    """
    proved = sum(each.kind == judge.PROVED for each in look.verdicts)
    proofs = f"{count(proved, 'statement')} {'is' if proved == 1 else 'are'} proved"
    parts = [proofs[:1].upper() + proofs[1:]]
    failed = [each.line for each in look.verdicts if each.kind == judge.FALSE]
    if failed:
        parts.append(f"{len(failed)} {'fails' if len(failed) == 1 else 'fail'} {_where(failed)}")
    useless = [each.line for each in look.verdicts if each.kind == judge.USELESS]
    if look.fault is not None:
        useless.append((look.fault.place and look.fault.place.line) or 1)
    if useless:
        parts.append(f"{count(len(useless), 'thing')} cannot be used {_where(useless)}")
    if parts[1:] or proved:
        return ", ".join(parts) + "."
    return "No statement yet."


def _where(lines: list[int]) -> str:
    several = sorted(set(lines))
    return f"({plural(len(several), 'line')} {join_words([str(line) for line in several])})"


def preview_note(look: Look) -> str:
    """Return what is said above the preview where it is not all that the text says."""
    if look.lesson is None:
        return "The header cannot be used. Below is the last lesson that could be shown."
    if look.fault is not None:
        return "A part cannot be used. The text is as typed, the rest as last shown."
    wrong = sum(each.wrong for each in look.verdicts)
    if wrong:
        return f"{count(wrong, 'place')} cannot be shown; marked in the text below."
    return ""


def minutes_of(lesson: Lesson) -> list[list[Any]]:
    """Return for each section its title, its minutes in words, and its share of the longest."""
    spent = [
        activities.section_minutes(lesson, each) if _counts(lesson, each.blocks) else None
        for each in lesson.sections
    ]
    most = max((each for each in spent if each), default=1.0)
    return [
        [
            section.title or "Before the first heading",
            judge.WAITS if each is None else script.minutes(each),
            0 if each is None else round(each / most, 3),
        ]
        for section, each in zip(lesson.sections, spent, strict=True)
    ]


def _counts(lesson: Lesson, blocks: Sequence[object]) -> bool:
    """Whether the minutes of some blocks can be told: a chart has to be arranged first."""
    return judge.COMING not in blocks and not (
        any(isinstance(b, Chart) for b in blocks) and not lesson.played
    )


def sides_of(look: Look) -> dict[str, Any]:
    """Return minutes, cautions and rights of what is seen; nothing where no lesson is."""
    lesson = look.lesson
    if lesson is None:
        return {}
    return {
        "minutes": minutes_of(lesson),
        "total": _total(lesson),
        "cautions": [[shapes, text] for shapes, text in cautions_of(lesson)],
        "rights": list(said_of_rights(lesson.front)),
        "claims": [[c.sentence.line, c.sentence.text, c.call] for c in claims_of(lesson)],
        "doubts": list(lesson.front.tune.doubts),
    }


def facts_of(look: Look, saved: str) -> str:
    """Return one line that says how the lesson stands."""
    lesson = look.lesson
    if lesson is None:
        return f"No lesson yet: {look.fault.what if look.fault else judge.WAITS}."
    title, sections = lesson.front.title, count(len(lesson.sections), "section")
    spent = ", ".join(filter(None, (sections, _total(lesson))))
    return f"{title}: {spent}. {summary(look)} The text is {saved}."


def _total(lesson: Lesson) -> str:
    """Return how long a lesson takes, once that of every section is known."""
    known = all(_counts(lesson, each.blocks) for each in lesson.sections)
    return f"{script.course_minutes(lesson)} once through" if known else ""


def said(
    state: WritingState, look: Look, saved_as: str, going: beside.Going, trouble: str
) -> dict[str, Any]:
    """Return what is said, by the places where the browser shows it.

    Parameters
    ----------
    state : WritingState
    look : Look
        What is seen in the text.
    saved_as : str
        How the text stands to its file.
    going : Going
        What goes on beside the page.
    trouble : str
        What was wrong with the last thing asked.
    """
    return {
        "facts": facts_of(look, saved_as),
        "summary": summary(look),
        "note": preview_note(look),
        "saved": saved_as,
        "trouble": trouble,
        "busy": going.busy,
        "progress": list(going.progress),
        "stopped": going.stopped,
        "built": built_from(state),
    }


def built_from(state: WritingState) -> str:
    """Return from which text the folder was built.

    Examples
    --------
    >>> built_from(WritingState(text="a", file="a.md", built=fingerprint("a")))
    'From the text as typed, in the folder a.'
    """
    same = state.built == fingerprint(state.text)
    return f"From {'the text as typed' if same else 'an earlier text'}, in the folder {state.out}."


_WIDE_MM, _ROW_MM, _TOP_MM = 174.0, 6.0, 12.0
_NAME_MM, _BAR_MM, _LEFT_MM, _THICK_MM = 66.0, 62.0, 2.0, 2.4
_MOST_LETTERS = 40


def draw_still(lesson: Lesson | None, facts: str) -> Drawing:
    """Draw the sections of a lesson as bars as long as their minutes; ``facts`` is the alt text."""
    from harmonykit.draw.base.canvas import Canvas

    rows = minutes_of(lesson) if lesson else []
    canvas = Canvas(_WIDE_MM, _TOP_MM + _ROW_MM * max(len(rows), 1))
    title = lesson.front.title if lesson else "No lesson yet"
    canvas.text(_LEFT_MM, 6, title, NAME_PT, weight=SEMIBOLD, anchor="left")
    for index, (name, spent, share) in enumerate(rows):
        _row(canvas, _TOP_MM + _ROW_MM * (index + 0.5), name, spent, share)
    return canvas.drawing("the lesson", facts)


def _row(canvas: Canvas, y: float, name: str, spent: str, share: float) -> None:
    """Draw a section's name, its bar, and its minutes in words."""
    said = name if len(name) <= _MOST_LETTERS else name[: _MOST_LETTERS - 1] + "…"
    canvas.text(_LEFT_MM, y + 1.2, said, LABEL_PT, anchor="left")
    left = _LEFT_MM + _NAME_MM
    length = max(_BAR_MM * share, 0.4)
    canvas.rectangle(left, y - _THICK_MM / 2, length, _THICK_MM, "ink")
    canvas.text(left + length + 2, y + 1.2, spent, LABEL_PT, anchor="left")
