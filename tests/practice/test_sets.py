"""Sets: about the lesson, without answers, a valid notebook; results read back as a table."""

from __future__ import annotations

import json
from pathlib import Path

import nbformat
import pandas as pd
import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.paths import find_data, shipped
from harmonykit.practice.class_sets import (
    COLUMNS,
    make_set,
    read_results,
    save_results,
    summary,
)
from harmonykit.practice.kinds import KINDS, USUAL, ask
from harmonykit.practice.progress import Progress
from harmonykit.practice.question import RIGHT, Spec
from harmonykit.practice.sets import ExerciseSet
from harmonykit.practice.sitting import Answered, Owner
from harmonykit.practice.themes import theme_of
from harmonykit.theory.chord import Chord
from harmonykit.workbook.practice.set_panel import SetPanel


@pytest.fixture
def stiff() -> ExerciseSet:
    return make_set("stiff_dominant", 16, seed="spring")


@pytest.mark.parametrize("lesson", shipped("lessons"))
def test_a_set_is_about_its_lesson_and_rises(lesson: str) -> None:
    front = read_lesson(find_data("lessons", lesson))[0]
    made = make_set(front, 24)
    assert made.title == front.title and made.theme == theme_of(front)
    assert {spec.kind for spec in made.specs} == set(made.theme.kinds or USUAL)
    levels = [spec.level for spec in made.specs]
    # Exercises have four grades, however many levels a lesson has.
    assert levels == sorted(levels) and levels[-1] == min(len(front.levels), 4)
    tune = {c.chord.symbol for c in front.tune.changes if c.chord is not None}
    for number in range(1, 25):
        asked = made.question(number)
        assert asked.instrument == front.instrument
        assert asked.judge(asked.answer).score == RIGHT
        if asked.spec.kind == "scale" and front.scale is not None:
            assert front.scale.title in asked.text
    pairs = {name for pair in made.theme.pairs for name in pair.split(">")}
    # A lesson with an idea asks about the chord that it starts from and what that becomes.
    starts = {pair.split(">")[0] for pair in made.theme.pairs}
    assert pairs <= tune or (front.idea and starts == {front.shape_chord.symbol})
    own = front.shape_chord
    assert not own.is_diminished_seventh or own.symbol in made.theme.diminished


def test_a_lessons_own_shape_is_the_one_to_be_moved() -> None:
    front = read_lesson(find_data("lessons", "stiff_dominant"))[0]
    theme = theme_of(front)
    shapes = set()
    for number in range(1, 60):
        asked = ask(Spec("quay", number, "parents", "neck", 1), theme)
        digits, name = asked.text.split(". ")[0].split(" is ")
        shapes.add((digits, Chord.parse(name).pcs == front.shape_chord.pcs))
    assert {digits for digits, own in shapes if own} == {front.shape.digits}
    assert len(shapes) > 1


def test_no_question_is_asked_twice(stiff: ExerciseSet) -> None:
    asked = [(q.text, q.sounds) for q in (stiff.question(n + 1) for n in range(16))]
    assert len(set(asked)) == 16


def test_nor_in_a_set_of_one_kind_with_few_questions() -> None:
    made = make_set(["scale"], 30)
    texts = [made.question(number).text for number in range(1, 31)]
    assert len(set(texts)) == 30


def test_the_same_seed_makes_the_same_set_another_one_another(stiff: ExerciseSet) -> None:
    assert make_set("stiff_dominant", 16, seed="spring") == stiff
    assert make_set("stiff_dominant", 16, seed="autumn") != stiff
    assert ExerciseSet.from_text(stiff.as_text()) == stiff


def test_a_mixed_class_has_the_lesson_on_other_instruments_too() -> None:
    made = make_set("stiff_dominant", 8, instrument="guitar")
    assert {made.question(n).instrument.name for n in range(1, 9)} == {"guitar"}
    front = read_lesson(find_data("lessons", "stiff_dominant"))[0]
    with pytest.raises(HarmonyError, match="its own instrument"):
        make_set(front, 8, instrument="guitar")


def test_kinds_alone_make_a_set_too() -> None:
    made = make_set(["scale", "parents"], 9, title="Nine", instrument="guitar")
    assert made.title == "Nine" and {spec.kind for spec in made.specs} == {"scale", "parents"}
    assert made.theme.neck.name == "guitar"


@pytest.mark.parametrize(
    ("about", "count", "said"),
    [(["songs"], 3, "unknown exercise 'songs'"), ([], 3, "unknown exercise"),
     ("scale", 0, "set of 0"), ("scale", 999, "set of 999"), ("no_such_lesson", 3, "missing file")],
)  # fmt: skip
def test_what_no_set_can_be_made_of(about: object, count: int, said: str) -> None:
    with pytest.raises(HarmonyError, match=said):
        make_set(about, count)  # type: ignore[arg-type]


def test_it_is_handed_out_as_a_valid_notebook_without_answers(
    tmp_path: Path, stiff: ExerciseSet
) -> None:
    path = stiff.write(tmp_path / "set.ipynb")
    notebook = nbformat.read(path, 4)
    nbformat.validate(notebook)
    text = path.read_text(encoding="utf-8")
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert all(cell.outputs == [] and cell.execution_count is None for cell in code)
    for number in range(1, 17):
        asked = stiff.question(number)
        assert asked.form in ("letter", "number") or f'"{asked.answer}"' not in text
        assert not any(hint in text for hint in asked.hints)
    assert stiff.write(tmp_path / "again.ipynb").read_bytes() == path.read_bytes()


def test_titles_with_quotes_and_backslashes_survive(tmp_path: Path) -> None:
    title = "Say \"C\\E\" and '''now''' and " + '"' * 3 + " \\"
    made = make_set(["scale"], 2, title=title)
    notebook = nbformat.read(made.write(tmp_path / "quoted.ipynb"), 4)
    typed = notebook.cells[1].source
    code = typed.replace("hk.workbook.SetPanel(r", "made = ExerciseSet.from_text(r")
    known: dict[str, object] = {"ExerciseSet": ExerciseSet}
    exec(code, known)
    assert known["made"] == made


@pytest.mark.parametrize(
    "text",
    ["", "{}", "[]", "no set", '{"questions": 3}', "[" * 50_000,
     '{"format": 1, "made_by": "harmonykit", "kind": "exercise set", "title": "x", "theme": {}, '
     '"questions": [["a", 1, "songs", "words", 1]]}',
     '{"format": 1, "made_by": "harmonykit", "kind": "exercise set", "title": "x", "theme": {}, '
     '"questions": [["a", 2, "scale", "words", 1]]}'],
)  # fmt: skip
def test_what_is_no_set_is_said(text: str) -> None:
    with pytest.raises(HarmonyError, match="not a set of exercises"):
        ExerciseSet.from_text(text)


def test_a_set_of_a_later_format_is_said(stiff: ExerciseSet) -> None:
    with pytest.raises(HarmonyError, match="format 2"):
        ExerciseSet.from_text(stiff.as_text().replace('"format": 1', '"format": 2'))


# Worked through.


def work(made: ExerciseSet, folder: Path, name: str, right: int) -> SetPanel:
    """Answer the first questions rightly and the next one wrongly, under a name."""
    panel = SetPanel(made.as_text(), folder)
    panel.set("student", name)
    for number in range(right + 1):
        asked = panel.asked.question
        other = "B" if asked.answer == "A" else "A"
        wrong = {"number": "99", "letter": other, "shape": "0-0-0-0", "move": "C to D"}
        panel.set("answer", asked.answer if number < right else wrong.get(asked.form, "C"))
        panel.set("check")
        panel.set("next")
    return panel


def test_nothing_counts_before_there_is_a_name(tmp_path: Path, stiff: ExerciseSet) -> None:
    panel = SetPanel(stiff, tmp_path)
    panel.set("answer", panel.asked.question.answer)
    with pytest.raises(HarmonyError, match="write your name first"):
        panel.set("check")
    assert panel.facts.endswith("Write your name first.")
    assert list(tmp_path.glob("*.jsonl")) == []


def test_it_is_gone_on_with_where_it_was_left(tmp_path: Path, stiff: ExerciseSet) -> None:
    first = work(stiff, tmp_path, "desk 3", 4)
    first.set("answer", "half wri")
    first.set("hint")
    again = SetPanel(stiff.as_text(), tmp_path)
    assert again.state.student == "desk 3" and again.state.number == 6
    assert again.state.answer == "half wri" and again.state.hints == 1
    again.set("previous")
    assert again.state.counted and again.facts.splitlines()[0].startswith("Not yet.")
    assert "5 answered" in again.facts


def test_only_the_first_answer_counts(tmp_path: Path, stiff: ExerciseSet) -> None:
    panel = work(stiff, tmp_path, "desk 3", 0)
    panel.set("previous")
    panel.set("answer", panel.asked.question.answer)
    panel.set("check")
    assert panel.facts.splitlines()[1].startswith("Right.")
    assert list(read_results(tmp_path)["score"]) == [0.0]


def test_two_names_have_two_files(tmp_path: Path, stiff: ExerciseSet) -> None:
    work(stiff, tmp_path, "desk 3", 1)
    work(stiff, tmp_path, "desk 4", 2)
    panel = SetPanel(stiff, tmp_path)
    with pytest.raises(HarmonyError, match="has the answers of desk 3"):
        panel.set("student", "Desk-3")
    with pytest.raises(HarmonyError, match="cannot name a results file"):
        panel.set("student", "!!!")


def test_a_broken_file_of_results_is_said_and_left_alone(
    tmp_path: Path, stiff: ExerciseSet
) -> None:
    work(stiff, tmp_path, "desk 3", 1)
    (file,) = tmp_path.glob("*-results-desk-3.jsonl")
    file.write_bytes(b"missing file\n")
    panel = SetPanel(stiff, tmp_path)
    assert "damaged, or not an exercise file" in panel.facts and panel.state.student == ""
    assert file.read_bytes() == b"missing file\n"


def test_results_that_cannot_be_kept_do_not_count(stiff: ExerciseSet, tmp_path: Path) -> None:
    panel = SetPanel(stiff, tmp_path / "nowhere")
    with pytest.raises(HarmonyError, match="cannot be written"):
        panel.set("student", "desk 3")


def test_the_end_of_a_set_is_said(tmp_path: Path) -> None:
    made = make_set(["scale"], 3)
    panel = work(made, tmp_path, "desk 3", 2)
    assert panel.facts.endswith("You have answered all questions: hand in your results file.")


# Read back.


@pytest.fixture
def handed_back(tmp_path: Path, stiff: ExerciseSet) -> Path:
    """A folder with results of three, and with files that are none."""
    for name, right in (("desk 1", 5), ("desk 2", 3), ("desk 3", 8)):
        work(stiff, tmp_path, name, right)
    (tmp_path / "broken.jsonl").write_bytes(b"\x00\x01 no file\n")
    torn = tmp_path / "torn.jsonl"
    Progress(torn, Owner("desk 4", stiff.mark)).add(
        Answered("2031-05-04", "q", 1, "scale", "words", 1, 0.5, 2, "Ab")
    )
    with torn.open("ab") as file:
        file.write(b'{"at": "2031-0')
    return tmp_path


def test_results_are_one_row_a_student_and_question(handed_back: Path, stiff: ExerciseSet) -> None:
    table = read_results(handed_back)
    assert tuple(table.columns) == COLUMNS
    counted = table[table["score"].notna()]
    assert counted.groupby("student").size().to_dict() == {
        "desk 1": 6, "desk 2": 4, "desk 3": 9, "desk 4": 1,
    }  # fmt: skip
    assert not counted.duplicated(["student", "number"]).any()
    assert set(counted[counted["student"] == "desk 3"]["set"]) == {stiff.mark}
    first = counted[counted["student"] == "desk 1"].iloc[0]
    spec = stiff.specs[0]
    assert (first["kind"], first["medium"], first["level"]) == (spec.kind, spec.medium, spec.level)
    assert first["score"] == 1.0 and first["answer"] == stiff.question(1).answer


def test_an_answer_that_a_spreadsheet_would_run_is_saved_as_text(tmp_path: Path) -> None:
    answered = Answered("2031-05-04", "q", 1, "scale", "words", 1, 0.5, 2, "=1+1")
    Progress(tmp_path / "a.jsonl", Owner("@desk", "s")).add(answered)
    saved = save_results(read_results(tmp_path), tmp_path / "results.csv")
    line = saved.read_text(encoding="utf-8").splitlines()[1]
    assert line == "'@desk,s,1,scale,words,1,0.5,2,'=1+1,,,,2031-05-04,a.jsonl,"


def test_bad_files_are_rows_with_their_error(handed_back: Path) -> None:
    table = read_results(handed_back).set_index("file")
    assert "broken" in table.loc["broken.jsonl", "error"]
    assert pd.isna(table.loc["broken.jsonl", "score"])
    assert table.loc["torn.jsonl", "error"] == "the last line was incomplete and is left out"
    assert table.loc["torn.jsonl", "score"] == 0.5


def test_of_two_answers_to_a_question_the_first_is_the_row(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "one.jsonl", Owner("desk 1", "s"))
    for score, written in ((0.0, "A"), (1.0, "Ab")):
        progress.add(Answered("2031-05-04", "q", 1, "scale", "words", 1, score, 0, written))
    table = read_results(tmp_path / "one.jsonl")
    assert list(table["score"]) == [0.0] and list(table["answer"]) == ["A"]


def test_sums_by_kind_and_by_student(handed_back: Path) -> None:
    table = read_results(handed_back)
    by_student = summary(table, by="student")
    assert by_student.loc["desk 3", "right, %"] == round(100 * 8 / 9)
    assert by_student.loc["desk 4", "hints an answer"] == 2.0
    by_kind = summary(table)
    assert by_kind["answers"].sum() == 20
    assert list(by_kind.index) == [kind for kind in KINDS if kind in set(table["kind"].dropna())]
    with pytest.raises(HarmonyError, match="results cannot be grouped by 'colour'"):
        summary(table, by="colour")


def test_an_empty_folder_is_an_empty_table_and_none_is_an_error(tmp_path: Path) -> None:
    assert len(read_results(tmp_path)) == 0 and len(summary(read_results(tmp_path))) == 0
    with pytest.raises(HarmonyError, match="missing folder"):
        read_results(tmp_path / "nowhere")


def test_specs_are_what_the_text_says(stiff: ExerciseSet) -> None:
    rows = json.loads(stiff.as_text())["questions"]
    assert [Spec(*row) for row in rows] == list(stiff.specs)
