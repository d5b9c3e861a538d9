"""The panel: a question, an answer by line or by pressing, a verdict, hints, and what is kept."""

from __future__ import annotations

import gc
import os
import random
import re
import subprocess
import sys
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import nbformat
import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.lesson.plan.source import read_lesson
from harmonykit.paths import find_data
from harmonykit.practice.class_sets import make_set
from harmonykit.practice.day import NOTEBOOKS, READ_FILE, read_so_far
from harmonykit.practice.kinds import KINDS, USUAL
from harmonykit.practice.progress import read_progress
from harmonykit.practice.theme import EVERYTHING, Theme
from harmonykit.practice.themes import theme_of
from harmonykit.workbook.practice.asking import ALL, ExerciseState, first
from harmonykit.workbook.practice.panel import OPEN_FILE, PROGRESS_FILE, ExercisePanel
from harmonykit.workbook.practice.read_box import ReadBox
from harmonykit.workbook.practice.set_panel import SetPanel

MIB = 2**20


def panel_at(kind: str, way: str, level: int = 1, **values: object) -> ExercisePanel:
    """Return a panel with a question of a kind, a way and a level."""
    panel = ExercisePanel("harbour", folder=None)
    start = ExerciseState("harbour", only=kind, way=way, standings=(f"{kind}:{level}.0.0",))
    panel.state = first(start, EVERYTHING)
    return panel


def answer(panel: ExercisePanel, text: str | None = None) -> None:
    panel.set("answer", panel.asked.question.answer if text is None else text)
    panel.set("check")


def test_each_round_has_every_kind_once() -> None:
    panel, kinds = ExercisePanel("harbour", folder=None), []
    for _ in range(3 * len(USUAL)):
        kinds.append(panel.state.kind)
        panel.set("next")
    for start in range(0, len(kinds), len(USUAL)):
        assert sorted(kinds[start : start + len(USUAL)]) == sorted(USUAL)


def test_a_right_answer_is_said_counted_and_leads_up() -> None:
    panel = panel_at("scale", "words")
    for number in range(1, 4):
        answer(panel)
        assert "Right." in panel.facts and panel.state.standing("scale").level == 1 + number // 3
        panel.set("next")
    assert panel.state.level == 2 and "level 2" in panel.facts
    assert [each.score for each in panel.progress.answers] == [1.0] * 3


def test_a_wrong_answer_is_told_why_and_may_be_mended_without_counting() -> None:
    panel = panel_at("parents", "words", 2)
    answer(panel, "C7")
    assert "Not yet. C7 is right." in panel.facts and "are missing" in panel.facts
    answer(panel)
    assert "Right." in panel.facts
    assert [each.score for each in panel.progress.answers] == [0.25]
    assert panel.state.standing("parents").wrong == 1


def test_what_cannot_be_read_is_said_and_nothing_is_counted() -> None:
    panel = panel_at("parents", "words", 2)
    panel.set("answer", "H7 xyz")
    before = panel.state
    with pytest.raises(HarmonyError, match=r"'H7' is not a chord .*so nothing is counted"):
        panel.set("check")
    panel._heard(None, {"set": "check", "value": ""}, None)
    assert "so nothing is counted" in panel.trouble
    assert panel.state == before and panel.progress.answers == []


def test_hints_come_in_steps_are_counted_and_end() -> None:
    panel = panel_at("distance", "words")
    hints = panel.asked.question.hints
    for number in range(1, len(hints) + 1):
        panel.set("hint")
        assert f"Hint {number} of {len(hints)}: {hints[number - 1]}" in panel.facts
    with pytest.raises(HarmonyError, match="all hints are given"):
        panel.set("hint")
    answer(panel)
    assert panel.progress.answers[0].hints == len(hints)
    assert panel.state.standing("distance").right == 0


def test_a_changed_answer_is_not_judged_before_it_is_checked() -> None:
    panel = panel_at("scale", "words")
    answer(panel, "C")
    panel.set("answer", "D")
    assert panel.asked.verdict is None and "Not yet" not in panel.facts


# Pressing.


def test_notes_pressed_on_the_clock_are_written_and_taken_out_again() -> None:
    panel = panel_at("scale", "clock", 2)
    panel.press("pc-8")
    panel.press("pc-6")
    assert panel.state.answer == "Ab F#"
    panel.press("pc-8")
    assert panel.state.answer == "F#"
    looks = panel._now.looks
    assert looks["pc-6"].on and looks["pc-6"].role == "note" and not looks["pc-8"].on


def test_what_was_asked_about_stays_above_the_answer() -> None:
    panel = panel_at("parents", "words")
    asked = panel._now.looks["heading"].text
    assert asked == panel.asked.question.seen.heading != ""
    answer(panel, "C7")
    assert panel.asked.verdict is not None
    told = panel.asked.verdict.seen.heading
    assert panel._now.looks["heading"].text == (told or asked)


def test_a_string_that_is_pressed_for_a_shape_is_on_and_another_fret_of_it_is_off() -> None:
    panel = panel_at("shape", "neck")
    panel.press("string-2-fret-3")
    panel.press("string-1-fret-2")
    looks = panel._now.looks
    assert {part for part, look in looks.items() if look.on} == {
        "string-1-fret-2", "string-2-fret-3",
    }  # fmt: skip
    panel.press("string-2-fret-4")
    looks = panel._now.looks
    assert looks["string-2-fret-4"].on and not looks["string-2-fret-3"].on


def test_a_move_is_pressed_as_two_notes_and_begun_anew() -> None:
    panel = panel_at("moved", "ear")
    for part, written in (("pc-8", "Ab"), ("pc-7", "Ab to G"), ("pc-2", "D")):
        panel.press(part)
        assert panel.state.answer == written
    start, end = panel.asked.question.sounds
    moved = next((a, b) for a, b in zip(start, end, strict=True) if a != b)
    panel.state = ExerciseState(**{**vars_of(panel.state), "answer": ""})
    for pitch in moved:
        panel.press(f"pc-{pitch % 12}")
    panel.set("check")
    assert "Right." in panel.facts


def vars_of(state: ExerciseState) -> dict[str, object]:
    return {name: getattr(state, name) for name in ExerciseState.__dataclass_fields__}


def test_frets_are_pressed_string_by_string() -> None:
    panel = panel_at("shape", "neck")
    panel.press("string-1-fret-2")
    assert panel.state.answer == "2-?-?-?"
    with pytest.raises(HarmonyError, match="so nothing is counted"):
        panel.set("check")
    panel.press("string-1-fret-2")
    assert panel.state.answer == "?-?-?-?"
    for string, fret in enumerate(panel.asked.question.answer.split("-"), 1):
        panel.press(f"string-{string}-fret-{fret}")
    assert panel.state.answer == panel.asked.question.answer
    panel.set("check")
    assert "Right." in panel.facts


def test_of_a_given_shape_one_string_is_pressed_and_the_others_stay() -> None:
    panel = panel_at("parents", "neck")
    given = panel.asked.question.text.split(" ")[0].split("-")
    goal = panel.asked.question.answer.split("-")
    (string,) = (n for n in range(4) if given[n] != goal[n])
    panel.press(f"string-{string + 1}-fret-{goal[string]}")
    assert panel.state.answer == panel.asked.question.answer
    panel.set("check")
    assert "Right." in panel.facts


def test_on_a_guitar_a_string_that_is_not_pressed_is_muted() -> None:
    panel = panel_at("shape", "neck")
    panel.set("instrument", "guitar")
    panel.press("string-2-fret-3")
    assert panel.state.answer == "x-3-x-x-x-x"


def test_ways_are_pressed_by_their_letter() -> None:
    panel = panel_at("smoother", "neck")
    panel.press(f"way-{panel.asked.question.answer}")
    panel.set("check")
    assert "Right." in panel.facts


def test_what_is_not_there_cannot_be_pressed() -> None:
    with pytest.raises(HarmonyError, match="unknown part 'pc-3'"):
        panel_at("distance", "words").press("pc-3")


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_heard_shared_and_drawn(kind: str) -> None:
    for medium in KINDS[kind].media:
        panel = panel_at(kind, medium, 2)
        assert medium != "ear" or panel.hear().seconds > 1
        other = ExercisePanel.from_text(panel.share())
        assert other.state == panel.state and other.facts == panel.facts
        answer(panel)
        assert panel.draw().alt == f"{panel.asked.question.text}\n{panel.facts}"


def test_settings_choose_kind_and_way_and_say_what_does_not_go_together() -> None:
    panel = ExercisePanel("harbour", folder=None)
    panel.set("only", "spell it")
    panel.set("way", "on the neck")
    assert (panel.state.kind, panel.state.medium) == ("spelling", "neck")
    with pytest.raises(HarmonyError, match="'spell it' cannot be asked by ear"):
        panel.set("way", "by ear")
    panel.set("only", ALL)
    panel.set("way", "by ear")
    for _ in range(12):
        assert panel.state.medium == "ear"
        panel.set("next")


fields = st.sampled_from([*ExerciseState.__dataclass_fields__, "colour"])
values = st.text(max_size=12) | st.sampled_from(
    ["3", "-1", "yes", "no", "parents", "ear", "clock", "scale:9.9.9", "parents:2.1.0", "guitar"]
)


@given(st.lists(st.tuples(fields, values), max_size=5))
def test_any_line_is_a_panel_or_refused(parts: list[tuple[str, str]]) -> None:
    line = "; ".join(["exercise 1", *(f"{name}={value}" for name, value in parts)])
    try:
        panel = ExercisePanel.from_text(line)
    except HarmonyError as error:
        assert error.what
    else:
        assert ExercisePanel.from_text(panel.share()).state == panel.state


# What is kept.


def test_a_new_kernel_finds_question_line_hints_and_standing(tmp_path: Path) -> None:
    panel = ExercisePanel("harbour", only="scale", folder=tmp_path)
    for _ in range(3):
        answer(panel)
        panel.set("next")
    panel.set("hint")
    panel.set("answer", "half wri")
    again = ExercisePanel("harbour", only="scale", folder=tmp_path)
    assert again.state == panel.state and again.state.level == 2
    assert again.facts == panel.facts and len(again.progress.answers) == 3


def test_an_answer_in_the_file_is_not_asked_for_again(tmp_path: Path) -> None:
    """The kernel may die between the file of answers and that of the open question."""
    panel = ExercisePanel("harbour", folder=tmp_path)
    before = (tmp_path / OPEN_FILE).read_bytes() if (tmp_path / OPEN_FILE).exists() else None
    panel.set("answer", panel.asked.question.answer)
    before = (tmp_path / OPEN_FILE).read_bytes()
    panel.set("check")
    (tmp_path / OPEN_FILE).write_bytes(before)
    again = ExercisePanel("harbour", folder=tmp_path)
    assert again.state.counted
    again.set("check")
    assert len(read_progress(tmp_path / PROGRESS_FILE).answers) == 1


def test_without_the_open_question_one_goes_on_after_the_last(tmp_path: Path) -> None:
    panel = ExercisePanel("harbour", folder=tmp_path)
    for _ in range(2):
        answer(panel)
        panel.set("next")
    (tmp_path / OPEN_FILE).unlink()
    assert ExercisePanel("harbour", folder=tmp_path).state.number == 3


def test_a_file_of_a_later_format_is_said_and_left_alone(tmp_path: Path) -> None:
    data = b'{"format": 3, "made_by": "harmonykit", "kind": "exercises"}\n'
    (tmp_path / PROGRESS_FILE).write_bytes(data)
    panel = ExercisePanel("harbour", folder=tmp_path)
    assert "format 3; answers are not kept" in panel.facts
    answer(panel)
    assert (tmp_path / PROGRESS_FILE).read_bytes() == data


def test_a_panel_that_is_only_looked_at_leaves_no_file(tmp_path: Path) -> None:
    ExercisePanel("harbour", folder=tmp_path).draw()
    assert list(tmp_path.iterdir()) == []


def test_a_lessons_theme_and_an_instrument_of_ones_own(tmp_path: Path) -> None:
    front = read_lesson(find_data("lessons", "scale_of_chords"))[0]
    panel = ExercisePanel("harbour", theme=theme_of(front), folder=None)
    for _ in range(10):
        answer(panel)
        assert "Right." in panel.facts and panel.asked.question.instrument == front.instrument
        panel.draw()
        panel.set("next")
    own = ExercisePanel("harbour", theme=Theme(instrument="G4 D4 A3 E3"), folder=None)
    for kind in KINDS.values():
        own.set("only", kind.title)
        own.draw()
    assert {c.id: c.value for c in own.controls()}["instrument"] == "G4 D4 A3 E3"


def test_where_nothing_can_be_written_one_goes_on_and_is_told(tmp_path: Path) -> None:
    panel = ExercisePanel("harbour", only="scale", folder=tmp_path / "nowhere")
    for _ in range(2):
        answer(panel)
        assert "Right." in panel.facts and "answers are not kept" in panel.facts
        panel.set("next")
    assert len(panel.progress.answers) == 2


@pytest.mark.parametrize("strings", ["D4 A4 D5", "C3 G3 D4 A4 E5"])
def test_an_instrument_that_lacks_a_kind_is_asked_the_next(strings: str) -> None:
    panel = ExercisePanel("harbour", theme=Theme(instrument=strings), folder=None)
    for _ in range(24):
        answer(panel)
        assert "Right." in panel.facts
        panel.set("next")


@pytest.mark.parametrize("seed", ["a;b", " harbour", "x" * 61, "a\nb"])
def test_what_is_no_seed_is_said(seed: str) -> None:
    with pytest.raises(HarmonyError, match="not a seed|too long"):
        ExercisePanel(seed, folder=None)


def test_a_long_seed_is_told_its_own_limit() -> None:
    with pytest.raises(HarmonyError, match="the seed is too long") as caught:
        ExercisePanel("x" * 61, folder=None)
    assert caught.value.rule == "60 characters at most"


WORKER = """
import sys
from harmonykit.workbook.practice import ExercisePanel
panel = ExercisePanel("harbour", folder=sys.argv[1])
print("ready", flush=True)
while True:
    panel.set("hint")
    panel.answer(panel.asked.question.answer)
    print(len(panel.progress.answers), flush=True)
"""


@pytest.mark.parametrize("turns", [2, pytest.param(40, marks=pytest.mark.long)])
def test_a_kernel_killed_at_any_moment_is_followed_by_one_that_goes_on(
    tmp_path: Path, root: Path, turns: int
) -> None:
    draw, environment = random.Random(5), {**os.environ, "PYTHONPATH": str(root)}
    command = [sys.executable, "-c", WORKER, str(tmp_path)]
    for _ in range(turns):
        with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as own:
            assert own.stdout is not None and own.stdout.readline() == "ready\n"
            begun = [own.stdout.readline() for _ in range(draw.randrange(6))]
            own.kill()
            lines = [*begun, *own.stdout.read().splitlines()]
            said = [int(line) for line in lines if line.strip().isdigit()]
        panel = ExercisePanel("harbour", folder=tmp_path)
        given = panel.progress.answers
        numbers = [each.number for each in given]
        assert numbers == list(range(1, len(given) + 1))
        assert not said or said[-1] <= len(given) <= said[-1] + 1
        # The last one answered, and not yet left, or the one after it.
        assert panel.state.number == len(given) + (not panel.state.counted)


# Long.


def act(panel: ExercisePanel, draw: random.Random) -> None:
    """Do something at random."""
    try:
        if draw.random() < 0.5 and panel.parts():
            panel.press(draw.choice(panel.parts()))
        else:
            control = draw.choice([c for c in panel.controls() if c.id not in ("hear", "share")])
            typed = draw.choice(["", "C E G", "2323", "3", "G7 E7", "H", "B", "Ab to G"])
            typed = draw.choice([typed, panel.asked.question.answer])
            value = draw.choice(control.options) if control.options else typed
            panel.set(control.id, value)
    except HarmonyError as error:
        assert error.what


def in_step(panel: ExercisePanel) -> None:
    """The view has what the state comes to, and nothing older."""
    fresh = panel._shown(panel.state)
    assert panel.view.shown["facts"] == fresh.facts and panel.view.shown["lead"] == fresh.lead
    assert panel.view.shown["looks"] == {part: list(look) for part, look in fresh.looks.items()}
    assert set(fresh.looks) <= {spot.id for spot in panel._scene(panel.state).spots}
    values = {control["id"]: control["value"] for control in panel.view.controls}
    assert values["answer"] == panel.state.answer


def set_panel(folder: Path) -> ExercisePanel:
    panel = SetPanel(make_set("stiff_dominant", 9), folder)
    panel.set("student", "desk 3")
    return panel


PANELS = {"endless": lambda folder: ExercisePanel("harbour", folder=folder), "set": set_panel}


@pytest.mark.parametrize("make", PANELS.values(), ids=PANELS)
@pytest.mark.parametrize("actions", [10, pytest.param(200, marks=pytest.mark.long)])
def test_random_actions_leave_no_exception_no_growth_and_no_picture_behind(
    tmp_path: Path, actions: int, make: Callable[[Path], ExercisePanel]
) -> None:
    draw = random.Random(actions)
    panel = make(tmp_path)
    panel.view.title  # noqa: B018  (made before memory is measured)
    for _ in range(20):
        act(panel, draw)
    gc.collect()
    tracemalloc.start()
    for _ in range(actions):
        act(panel, draw)
        in_step(panel)
    gc.collect()
    grown, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert grown < 50 * MIB
    again = (
        PANELS["endless"](tmp_path)
        if make is not set_panel
        else SetPanel(
            panel.exercises,
            tmp_path,  # type: ignore[attr-defined]
        )
    )
    if again.state.student == panel.state.student and not again.state.counted:
        assert again.state.answer == panel.state.answer


# What comes back, and the ten of a day.


def test_what_was_missed_comes_back_after_three_to_six_others() -> None:
    panel = ExercisePanel("harbour", folder=None)
    answer(panel, wrong(panel))
    missed, others = panel.asked.question.item, 0
    panel.set("next")
    while panel.asked.question.item != missed:
        others += 1
        answer(panel)
        panel.set("next")
    assert 3 <= others <= 6 and panel.state.about


def wrong(panel: ExercisePanel) -> str:
    """Return an answer that can be read and is not right."""
    asked = panel.asked.question
    tries = ("0", "C", "C7", "C to D", "A", "B", "0-0-0-1", "E7")
    for text in tries:
        try:
            if asked.judge(text).score == 0:
                return text
        except HarmonyError:
            continue
    raise AssertionError(asked.text)


def test_after_a_miss_the_reason_stands_first_then_yours_and_the_right_one() -> None:
    panel = panel_at("moved", "ear")
    right = panel.asked.question.answer
    first, _, last = right.partition(" to ")
    given = f"{last} to {first}"
    answer(panel, given)
    lines = panel.facts.splitlines()
    assert lines[0].startswith("Not yet.") and lines[1] == signs(f"Yours: {given}. Right: {right}.")
    assert {"yours", "right"} <= {each.id for each in panel.controls()}
    panel.set("yours")
    yours = panel.hear().wav
    panel.set("right")
    assert panel.hear().wav != yours
    panel.set("next")
    assert not {"yours", "right"} & {each.id for each in panel.controls()}


def signs(text: str) -> str:
    return re.sub(r"\b([A-G])b", "\\1♭", text).replace("#", "♯")


def test_yours_shows_the_chord_that_was_given() -> None:
    panel = panel_at("parents", "words")
    answer(panel, "C7")
    panel.set("yours")
    on = {int(part[3:]) for part, look in panel._now.looks.items()
          if part.startswith("pc-") and look.role not in ("off", "was")}  # fmt: skip
    assert panel._now.looks["heading"].text == "C7" and {0, 4, 7, 10} <= on
    panel.set("right")
    assert panel._now.looks["heading"].text == panel.asked.verdict.seen.heading


def test_enter_checks_and_then_goes_on() -> None:
    panel = panel_at("scale", "words")
    (enter,) = {each.enter for each in panel.controls() if each.id == "answer"}
    number = panel.state.number
    panel.set("answer", "C")
    panel.set(enter)
    assert panel.state.checked and panel.state.number == number
    # Another answer is read before the next question comes, and counts no more.
    panel.set("answer", panel.asked.question.answer)
    panel.set(enter)
    assert panel.asked.verdict is not None and panel.asked.verdict.score == 1
    assert panel.state.number == number and len(panel.progress.answers) == 1
    panel.set(enter)
    assert panel.state.number == number + 1


def test_an_essay_that_is_ticked_at_its_end_is_asked_about_whatever_else_is_ticked(
    tmp_path: Path,
) -> None:
    panel = ExercisePanel("harbour", folder=tmp_path, read=[])
    box = ReadBox("02_four_parents", tmp_path)
    assert not box.view.ticked and not (tmp_path / READ_FILE).exists()
    box._heard(box.view, {"tick": True}, None)
    assert box.view.ticked and ReadBox("02", tmp_path).view.ticked
    for kind in KINDS.values():
        assert (kind.title in box.view.said) == (kind.taught == "02")
    # The panel was open before, and takes nothing away.
    panel.set("read-01", True)
    assert read_so_far(tmp_path) == ("01", "02")
    again = ExercisePanel("harbour", folder=tmp_path, read=[])
    assert {"parents", "spelling"} <= {*again._theme.kinds}
    assert "distance" not in again._theme.kinds
    box.tick(False)
    assert read_so_far(tmp_path) == ("01",) and "no more" in box.view.said
    ReadBox("01", tmp_path).tick(False)
    assert read_so_far(tmp_path) == ()


def test_a_tick_that_cannot_be_kept_is_said_and_only_an_essay_that_teaches_has_one(
    tmp_path: Path,
) -> None:
    (tmp_path / READ_FILE).write_text("[]", encoding="utf-8")
    box = ReadBox("00", tmp_path)
    box.tick(True)
    assert not box.view.ticked and "ticks are not kept" in box.view.said
    assert (tmp_path / READ_FILE).read_text(encoding="utf-8") == "[]"
    with pytest.raises(HarmonyError, match="not an essay to tick"):
        ReadBox("05_reharmonise_a_tune")


def test_each_essay_that_teaches_what_is_asked_ends_with_its_own_tick() -> None:
    for file in sorted((Path(__file__).parents[3] / "notebooks").glob("*.ipynb")):
        last = nbformat.read(file, 4).cells[-1].source
        number = file.stem[:2]
        assert last.startswith("hk.workbook.ReadBox(") == (number in NOTEBOOKS), file.name
        assert number not in NOTEBOOKS or last == f'hk.workbook.ReadBox("{number}")'


def test_ten_for_today_begin_where_the_reader_stands(tmp_path: Path) -> None:
    panel = ExercisePanel("harbour", only="ten for today", folder=tmp_path, read=["00", "01"])
    taught = {name for name, kind in KINDS.items() if kind.taught in ("00", "01")}
    items = []
    for left in range(9, -1, -1):
        assert panel.state.kind in taught
        items.append(panel.asked.question.item)
        # One more once it was missed, until it is asked again.
        to_come = left + (left < 4 and items.count(items[5]) < 2)
        said = f"{to_come} question" if to_come else "no question"
        assert f"{said}{'s' if to_come != 1 else ''} of today's to come." in panel.facts
        answer(panel, wrong(panel) if left == 4 else None)
        panel.set("next")
    assert len(set(items)) >= 9
    # What was missed comes back in the sitting, and is the first to be asked another day.
    assert any(items[5].replace(" ", "_") in each for each in panel.state.due) or (
        items[5] in (*items[6:], panel.asked.question.item)
    )
    assert {each.item for each in panel.progress.answers} == set(items)
    again = ExercisePanel("harbour", only="ten for today", folder=tmp_path, read=["00", "01"])
    assert again.state.seed == "harbour"


def test_what_was_read_is_ticked_kept_and_asked(tmp_path: Path) -> None:
    ten = "ten for today"
    panel = ExercisePanel("harbour", only=ten, folder=tmp_path, read=[])
    boxes = {each.id: each.value for each in panel.controls() if each.kind == "check"}
    assert len(boxes) == 6 and not any(boxes.values())
    due = {each.partition("@")[2].partition(":")[0] for each in panel.state.due}
    # Nothing is ticked: only what the first notebook teaches.
    assert {KINDS[kind].taught for kind in {*due, panel.state.kind}} == {"00"}
    panel.set("read-02", value=True)
    due = {each.partition("@")[2].partition(":")[0] for each in panel.state.due}
    assert {KINDS[kind].taught for kind in {*due, panel.state.kind}} == {"02"}
    # Another panel in this folder knows it, whatever its cell says.
    again = ExercisePanel("harbour", only=ten, folder=tmp_path, read=["00", "01"])
    assert [each.id for each in again.controls() if each.value is True] == ["read-02"]
    again.set("read-02", value=False)
    assert read_so_far(tmp_path) == ()
    # A lesson teaches its own kinds: nothing is ticked.
    theme = theme_of(read_lesson(find_data("lessons", "stiff_dominant"))[0])
    own = ExercisePanel("harbour", theme=theme, folder=tmp_path)
    assert [each.id for each in own.controls() if each.kind == "check"] == []


def test_a_file_of_ticks_that_cannot_be_read_is_said_and_left(tmp_path: Path) -> None:
    (tmp_path / READ_FILE).write_text("[1]")
    panel = ExercisePanel("harbour", folder=tmp_path, read=["00"])
    assert "ticks are not kept" in panel.facts
    panel.set("read-01", value=True)
    assert (tmp_path / READ_FILE).read_text() == "[1]" and panel.state.kind in KINDS


def test_what_is_passed_over_comes_back(tmp_path: Path) -> None:
    panel = ExercisePanel("harbour", only="ten for today", folder=tmp_path, read=["02"])
    item = panel.asked.question.item
    panel.set("next")
    assert any(item.replace(" ", "_") in each for each in panel.state.due)
