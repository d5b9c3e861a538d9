"""Exercises from ideas: what is asked by hand, what is heard by arithmetic, and who is asked it."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.writing import write_draft
from harmonykit.lesson.plan.idea import every_idea
from harmonykit.paths import find_data
from harmonykit.practice.class_sets import make_set
from harmonykit.practice.kinds import USUAL, ask
from harmonykit.practice.question import RIGHT, WRONG, Spec
from harmonykit.practice.themes import theme_of, theme_of_idea
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.workbook.practice.asking import ExerciseState, first, following

ASKED = [idea.name for idea in every_idea() if idea.text("change")]
# Common practice, no source: what comes of each source, on its own root.
RESULTS = {
    "four_dominants": {"Bb7", "Db7", "E7", "G7"},
    "four_minor_sixths": {"Fm6", "Abm6", "Bm6", "Dm6"},
    "six_neighbours": {"C", "E", "Ab", "Am", "C#m", "Fm"},
    "tritone_substitution": {"Db7"},
    "delayed_tonic": {"C6"},
    "sixth_diminished_neck": {"Bdim7"},
    "three_fall_one_rises": {"C"},
}


@pytest.mark.parametrize("idea", RESULTS)
def test_what_a_source_becomes_is_asked_and_nothing_else(idea: str) -> None:
    theme = theme_of_idea(idea)
    wanted = {Chord.parse(each).pcs for each in RESULTS[idea]}
    found = set()
    for number in range(1, 40):
        question = ask(Spec("quay", number, "becomes", "words", 1), theme)
        found.add(Chord.parse(question.answer).pcs)
        assert question.judge(question.answer).score == RIGHT
        wrong = question.judge("Gmmaj7")
        assert wrong.score == WRONG and "Gm(maj7) has G, B♭, D and F♯" in wrong.said
    assert found == wanted


@pytest.mark.parametrize("idea", ASKED)
def test_every_kind_of_an_idea_can_be_asked(idea: str) -> None:
    theme = theme_of_idea(idea)
    state = first(ExerciseState(seed="quay"), theme)
    kinds = set()
    for _ in range(4 * len(theme.kinds)):
        kinds.add(state.kind)
        state = following(state, theme)
    assert kinds == set(theme.kinds)


def test_what_is_heard_is_the_one_chord_and_then_the_other() -> None:
    for idea in ASKED:
        if "hear" not in theme_of_idea(idea).kinds:
            continue
        for level in (1, 3):
            question = ask(Spec("quay", 2, "hear", "ear", level), theme_of_idea(idea))
            before = Chord.parse(question.text.split()[2].rstrip(",").replace("°7", "dim7")
                                 .replace("♭", "b").replace("♯", "#"))  # fmt: skip
            heard = [{pitch % 12 for pitch in pitches} for pitches in question.sounds]
            assert heard == [set(before.pcs), set(Chord.parse(question.answer).pcs)]
            assert question.judge(question.answer).score == RIGHT


def test_a_name_of_the_same_notes_counts_but_where_the_root_is_asked() -> None:
    theme = theme_of_idea("four_dominants")
    asked = (ask(Spec("pier", n, "becomes", "words", 1), theme) for n in range(1, 30))
    flat = next(one for one in asked if one.answer == "Db7")
    assert flat.judge("C#7").score == RIGHT and flat.judge("G7").score == WRONG


def test_a_lesson_with_an_idea_has_its_exercises_in_the_lessons_key(tmp_path: Path) -> None:
    path = tmp_path / "new.md"
    tune = read_tune(find_data("tunes", "slack_water_waltz"))
    write_draft(path, tune, "slack_water_waltz", "ukulele", idea="four_dominants", key="G")
    front = load_lesson(path).front
    theme = theme_of(front)
    assert theme.kinds == theme_of_idea("four_dominants").kinds
    (row,) = theme.ideas
    assert Chord.parse(row.split(">")[0]) == front.shape_chord
    made = make_set(front, 8)
    assert {spec.kind for spec in made.specs} == set(theme.kinds)


def test_what_cannot_be_asked_is_told() -> None:
    with pytest.raises(HarmonyError, match="has no change") as caught:
        theme_of_idea("leave_it_plain")
    assert "four_dominants" in caught.value.mend
    assert not {"becomes", "hear"} & set(USUAL)
