"""Which sentences of a text are proved: split and counted by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.plan.model import Fact, Lesson, Text
from harmonykit.lesson.plan.source import Body
from harmonykit.lesson.script import write_script
from harmonykit.lesson.statements.calls import assemble
from harmonykit.lesson.statements.claims import claims_of, marked_in
from harmonykit.lesson.statements.sentences import (
    Sentence,
    marked,
    proved_of,
    sentences_of,
    turned_of,
)
from harmonykit.lesson.write import fact_rows

FACT = Fact("C6 is Am7.", "both are 0 4 7 9")
SECONDS = Fact("The chord lasts 0.5 seconds.", "length over tempo")

MARKED = [
    ("C6 is Am7.", "C6 is Am7. †"),
    ("Listen. C6 is Am7. Play.", "Listen. C6 is Am7. † Play."),
    ("**C6 is Am7.**", "**C6 is Am7.** †"),
    ("- C6 is Am7.\n- Not this.", "- C6 is Am7. †\n- Not this."),
    ("1. C6 is Am7.", "1. C6 is Am7. †"),
    ("First: C6 is Am7.", "First: C6 is Am7."),
    ("Two are so:\n\n- C6 is Am7.\n- Play.", "Two are so:\n\n- C6 is Am7. †\n- Play."),
    ("Listen.\n\nC6 is Am7. So it goes.", "Listen.\n\nC6 is Am7. † So it goes."),
    ("C6 is Am7. 2-2-1-3 is another.", "C6 is Am7. † 2-2-1-3 is another."),
    ("C6 is Am7. That is not all.", "C6 is Am7. † That is not all."),
    ("C6 is Am7. (No other chord is.)", "C6 is Am7. † (No other chord is.)"),
    # A picture is no sentence, and says nothing of what follows; what stands before it does.
    ("Like this:\n\n![a](h.png)\n\nC6 is Am7.", "Like this:\n\n![a](h.png)\n\nC6 is Am7. †"),
    ('![a](h.png "50 mm")\nC6 is Am7.', '![a](h.png "50 mm")\nC6 is Am7. †'),
    ("Nobody says\n\n![a](h.png)\n\nC6 is Am7.", "Nobody says\n\n![a](h.png)\n\nC6 is Am7."),
    # Words around a statement may say otherwise.
    ("It is not true that C6 is Am7.", "It is not true that C6 is Am7."),
    ("So C6 is Am7.", "So C6 is Am7."),
    ("## C6 is Am7.", "## C6 is Am7."),
    ("| C6 is Am7. |", "| C6 is Am7. |"),
    ("```\nC6 is Am7.\n```", "```\nC6 is Am7.\n```"),
    ("The chord lasts 0.5 seconds. Or 0.6.", "The chord lasts 0.5 seconds. † Or 0.6."),
    ("The following is wrong. C6 is Am7.", "The following is wrong. C6 is Am7."),
    ("C6 is Am7.\n\nNonsense!", "C6 is Am7.\n\nNonsense!"),
    ("Find the mistake.\n\nC6 is Am7.", "Find the mistake.\n\nC6 is Am7."),
    ("C6 is Am7. C6 is Am7.", "C6 is Am7. † C6 is Am7. †"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "wanted"), MARKED)
def test_a_mark_stands_behind_what_is_proved_word_for_word(text: str, wanted: str) -> None:
    assert marked(text, [FACT, SECONDS]) == wanted


def test_of_two_that_begin_alike_the_longer_is_marked() -> None:
    both = Fact("C6 is Am7. Both are movable.", "both are 0 4 7 9")
    for known in ([FACT, both], [both, FACT]):
        assert marked("C6 is Am7. Both are movable.", known) == "C6 is Am7. Both are movable. †"


TURNED = [
    "It is not so that C6 is Am7.",
    "Nobody can say that C6 is Am7.",
    "If C6 is Am7. then play it.",
    "C6 is Am7., or so they say.",
    "C6 is Am7. in no key at all.",
    "C6 is Am7. – unless you listen.",
    "C6 is Am7.?",
    "Is it true that C6 is Am7.?",
    "~~C6 is Am7.~~",
    "“C6 is Am7.” is what a beginner says.",
    "C6 is Am7. That is wrong.",
    "C6 is Am7. Not at all!",
    "True or false? C6 is Am7.",
    "C6 is Am7. This isn't so.",
    "It would be a mistake to think that\n\nC6 is Am7.",
    "None of these is so:\n\n- C6 is Am7.",
    "> Never: **C6 is Am7.**",
]


@pytest.mark.parametrize("text", TURNED)
def test_a_statement_that_other_words_turn_bears_no_mark_and_is_told(
    lesson_path: object, text: str
) -> None:
    lesson = _lesson_of(lesson_path, text)
    assert marked(text, [FACT]) == text
    assert proved_of(lesson).endswith(" none is proved")
    (told,) = turned_of(lesson)
    assert told.startswith(f"line {13 + text[: text.index('C6')].count(chr(10))}: “")
    assert "not counted as proved" in told and "C6 is Am7." in told
    (noted,) = [row for row in fact_rows(lesson) if row[5]]
    assert noted[3] == "no" and noted[2] in told
    # The call itself stays proved: it is listed by its own words.
    assert [row[3] for row in fact_rows(lesson) if row[2] == FACT.sentence][-1] == "yes"


def test_a_shape_with_a_muted_string_begins_a_sentence(lesson_path: object) -> None:
    both = Fact("x-x-1-2 on g C E A sounds F and B.", "read from the shape")
    lesson = replace(
        _lesson_of(lesson_path, f"{FACT.sentence} {both.sentence} {FACT.sentence} x marks it."),
        facts=(FACT, both),
    )
    assert [one.text for one in turned_of_text(lesson)] == [f"{FACT.sentence} x marks it."]


def turned_of_text(lesson: Lesson) -> list[Sentence]:
    return [one for one in sentences_of(lesson) if one.turned is not None]


def test_the_script_says_how_many_sentences_turn_a_statement(lesson_path: object) -> None:
    assert "One of these contains a statement" in write_script(_lesson_of(lesson_path, TURNED[0]))
    assert "of these contain" not in write_script(_lesson_of(lesson_path, "C6 is Am7. Play."))


def _lesson_of(path: object, text: str) -> Lesson:
    lesson = load_lesson(path)  # type: ignore[arg-type]
    sections = assemble(Body("a.md", ("## One", "", *text.splitlines()), 11), {})
    return replace(lesson, sections=sections, facts=(FACT,))


def test_rows_have_each_sentence_with_its_line_and_silent_proofs_at_the_end(
    lesson_path: object,
) -> None:
    lines = ("## One", "", "Hear it. C6 is Am7. What", "is that?", "", "- It is so!", "No end")
    sections = assemble(Body("a.md", lines, 11), {})
    lesson = load_lesson(lesson_path)  # type: ignore[arg-type]
    silent = Fact("G is G.", "seen", 30)
    rows = list(fact_rows(replace(lesson, sections=sections, facts=(FACT, silent))))
    assert [(line, said, proved, how) for line, _, said, proved, how, _ in rows] == [
        (13, "Hear it.", "no", ""), (13, "C6 is Am7.", "yes", "both are 0 4 7 9"),
        (13, "What is that?", "no", ""), (16, "It is so!", "no", ""), (17, "No end", "no", ""),
        (30, "G is G.", "yes", "seen"),
    ]  # fmt: skip


def test_a_heading_turns_what_stands_below_it(lesson_path: object) -> None:
    lesson = _lesson_of(lesson_path, "C6 is Am7.")
    (section,) = lesson.sections
    wrong = replace(lesson, sections=(replace(section, title="True or false?"),))
    assert proved_of(lesson).endswith("one is proved")
    assert proved_of(wrong).endswith("none is proved")
    assert "heading" in next(turned_of(wrong))
    (block,) = wrong.sections[0].blocks
    claimed = {claim.sentence.text for claim in claims_of(wrong)}
    assert isinstance(block, Text) and marked_in(wrong, block, claimed) == "C6 is Am7."


def test_what_a_call_makes_whole_is_not_counted() -> None:
    assert Text("| C | G |", computed=True).computed and not Text("C.").computed
