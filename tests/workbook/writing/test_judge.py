"""Every call judged: one that fails stops no other, and is said with its place and the fact."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from harmonykit.lesson.plan.model import Text
from harmonykit.lesson.plan.source import Body, read_lesson
from harmonykit.lesson.statements.calls import fill
from harmonykit.lesson.statements.functions import Functions
from harmonykit.paths import find_data
from harmonykit.workbook.writing.judge import (
    COMING,
    FALSE,
    PROVED,
    PUT_IN,
    USELESS,
    WAITS,
    Judge,
    Memory,
    Unplayed,
    Verdict,
)

FRONT, _ = read_lesson(Path(find_data("lessons", "stiff_dominant")))


def judged(
    *lines: str, patient: bool = True, memory: Memory | None = None
) -> tuple[list[Verdict], list[object]]:
    known: Memory = {} if memory is None else memory
    judge = Judge(Functions(FRONT, Unplayed()), known, patient)
    sections = fill(Body("new.md", lines, 10), judge)
    return judge.verdicts, [block for each in sections for block in each.blocks]


# A call, what becomes of it, and words that must be said.  What is true is arithmetic: A dim7 and
# D7 share three notes and differ by a semitone in the fourth; A dim7 is a member of 4-28 (Forte
# 1973, appendix 1).
CALLS = [
    ('semitones_apart("Adim7", "D7", 1)', PROVED, "one half step"),
    ('semitones_apart("Adim7", "D7", 2)', FALSE, "1 apart"),
    ('set_class("Adim7", "4-28")', PROVED, "4-28"),
    ('set_class("Adim7", "4-27")', FALSE, "4-28"),
    ('same_notes("C6", "Am7")', PROVED, "same notes"),
    ('proved("same_notes", "C6", "Am7")', PROVED, "same notes"),
    ('proved("same_notes", "C6", "Am")', FALSE, "A, C and E"),
    ('same_notes("C6", "Hm7")', FALSE, "Hm7"),
    ("frets_aloud()", PUT_IN, ""),
    ("frets_alod()", USELESS, "frets_aloud"),
    ("frets_aloud(", USELESS, "not a call"),
    ("frets_aloud(1, 2, 3)", USELESS, "is 1, not text in quotes"),
    ("name([])", USELESS, "is [], not text"),
]


@pytest.mark.parametrize(("call", "kind", "words"), CALLS)
def test_a_call_is_judged_at_its_place(call: str, kind: str, words: str) -> None:
    (verdict,), _ = judged("first", f"Say {{{{ {call} }}}} now.")
    assert (verdict.kind, verdict.line, verdict.column, verdict.source) == (kind, 11, 5, call)
    assert words in " ".join([verdict.said, verdict.how, verdict.mend])
    assert verdict.wrong == (kind in (FALSE, USELESS))
    if verdict.wrong:
        # Under the braces, or under the argument that does not fit.
        assert verdict.text[verdict.caret :].startswith(("{{", "1", "[]"))


def test_a_fault_stops_no_other_call_and_leaves_a_mark() -> None:
    verdicts, blocks = judged(
        '{{ frets_aloud() }} {{ nothing() }} {{ always("symmetry") }} {{ name('
    )
    assert [each.kind for each in verdicts] == [PUT_IN, USELESS, PROVED, USELESS]
    (text,) = blocks
    assert isinstance(text, Text) and text.markdown.count("[line 10 has to be corrected]") == 2


def test_a_figure_inside_a_sentence_is_one_fault() -> None:
    (verdict,), _ = judged('See {{ clock("C6") }} here.')
    assert verdict.kind == USELESS and "must be alone" in verdict.how


def test_what_takes_time_is_waited_for_and_remembered() -> None:
    memory: Memory = {}
    (verdict,), blocks = judged('{{ clock("C6") }}', patient=False, memory=memory)
    assert verdict.kind == WAITS and blocks == [COMING] and not memory
    judged('{{ clock("C6") }}', memory=memory)
    (verdict,), blocks = judged('{{ clock("C6") }}', patient=False, memory=memory)
    assert verdict.kind == PUT_IN and blocks != [COMING]


def test_who_asks_for_levels_before_they_are_there_waits() -> None:
    (verdict,), blocks = judged("{{ chart(1) }}")
    assert verdict.kind == WAITS and blocks == [COMING]
    for ask in (len, list, lambda levels: levels[0]):
        with pytest.raises(Exception, match="^$"):
            ask(Unplayed())


def test_a_remembered_answer_is_asked_for_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    monkeypatch.setattr(Functions, "frets_aloud", lambda self: asked.append("words") or "w")
    memory: Memory = {}
    for _ in range(3):
        judged("{{ frets_aloud() }} {{frets_aloud()}}", memory=memory)
    assert asked == ["words"]


def hostile() -> Iterator[str]:
    for name in Functions.PUT_IN:
        for value in ("5", "[1]", "''", "'\\x00'", "-1", "[[['x']]]", "1e400", "'A' 'dim7'"):
            yield f"{name}({value})"


def test_no_argument_breaks_the_page() -> None:
    lines = [f"{{{{ {call} }}}}" for call in hostile()]
    verdicts, _ = judged(*lines)
    assert len(verdicts) == len(lines)
