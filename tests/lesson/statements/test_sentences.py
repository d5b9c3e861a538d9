"""Which sentences of a text are proved: split and counted by hand."""

from __future__ import annotations

import pytest

from harmonykit.lesson.plan.model import Fact, Text
from harmonykit.lesson.plan.source import Body
from harmonykit.lesson.statements.calls import assemble
from harmonykit.lesson.statements.sentences import marked
from harmonykit.lesson.write import fact_rows

FACT = Fact("C6 is Am7.", "both are 0 4 7 9")
SECONDS = Fact("The chord lasts 0.5 seconds.", "length over tempo")

MARKED = [
    ("C6 is Am7.", "C6 is Am7. †"),
    ("Listen. C6 is Am7. Play.", "Listen. C6 is Am7. † Play."),
    ("**C6 is Am7.**", "**C6 is Am7.** †"),
    ("- C6 is Am7.\n- Not this.", "- C6 is Am7. †\n- Not this."),
    ("1. C6 is Am7.", "1. C6 is Am7. †"),
    # Words around a statement may say otherwise.
    ("It is not true that C6 is Am7.", "It is not true that C6 is Am7."),
    ("So C6 is Am7.", "So C6 is Am7."),
    ("## C6 is Am7.", "## C6 is Am7."),
    ("| C6 is Am7. |", "| C6 is Am7. |"),
    ("```\nC6 is Am7.\n```", "```\nC6 is Am7.\n```"),
    ("The chord lasts 0.5 seconds. Or 0.6.", "The chord lasts 0.5 seconds. † Or 0.6."),
    ("C6 is Am7. C6 is Am7.", "C6 is Am7. † C6 is Am7. †"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "wanted"), MARKED)
def test_a_mark_stands_behind_what_is_proved_word_for_word(text: str, wanted: str) -> None:
    assert marked(text, [FACT, SECONDS]) == wanted


def test_rows_have_each_sentence_with_its_line_and_silent_proofs_at_the_end(
    lesson_path: object,
) -> None:
    from dataclasses import replace

    from harmonykit.lesson.build import load_lesson

    lines = ("## One", "", "Hear it. C6 is Am7. What", "is that?", "", "- It is so!", "No end")
    sections = assemble(Body("a.md", lines, 11), {})
    lesson = load_lesson(lesson_path)  # type: ignore[arg-type]
    silent = Fact("G is G.", "seen", 30)
    rows = list(fact_rows(replace(lesson, sections=sections, facts=(FACT, silent))))
    assert [(line, said, proved, how) for line, _, said, proved, how in rows] == [
        (13, "Hear it.", "no", ""), (13, "C6 is Am7.", "yes", "both are 0 4 7 9"),
        (13, "What is that?", "no", ""), (16, "It is so!", "no", ""), (17, "No end", "no", ""),
        (30, "G is G.", "yes", "seen"),
    ]  # fmt: skip


def test_what_a_call_makes_whole_is_not_counted() -> None:
    assert Text("| C | G |", computed=True).computed and not Text("C.").computed
