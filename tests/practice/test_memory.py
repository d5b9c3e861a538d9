"""What is remembered: laws of the scheduler, the library's own behaviour, and a made-up student."""

from __future__ import annotations

import random
from collections import Counter
from datetime import UTC, date, datetime, time, timedelta
from math import exp

import pytest
from fsrs import Card, Rating, Scheduler
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.practice.day import asked_about, contrast, daily, reached
from harmonykit.practice.kinds import KINDS, ask
from harmonykit.practice.memory import confusions, days_of, remember
from harmonykit.practice.question import MEDIA, Spec, read_item
from harmonykit.practice.sitting import FARTHEST, NEAREST, Answered, Due, Sitting

TODAY = date(2031, 5, 4)
ITEM = "parents: Bdim7: words"


def answer(
    day: date, score: float, item: str = ITEM, hints: int = 0, instead: str = "", wanted: str = ""
) -> Answered:
    kind, _, medium = read_item(item)
    at = datetime.combine(day, time(17)).isoformat()
    return Answered(at, "quay", 1, kind, medium, 1, score, hints, "", item, wanted, instead)


# The library.


def test_two_hundred_reviews_agree_with_the_library() -> None:
    """Each step is the library's own, kept as numbers between the days."""
    chance = random.Random(7)
    scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
    cards: dict[str, Card] = {}
    answers: list[Answered] = []
    day = TODAY
    ratings = {0.0: Rating.Again, 0.25: Rating.Again, 0.75: Rating.Hard, 1.0: Rating.Good}
    for _ in range(200):
        day += timedelta(days=chance.randrange(1, 4))
        item = f"parents: {chance.choice(('Bdim7', 'Cdim7', 'Ddim7', 'Edim7'))}: words"
        score = chance.choice(list(ratings))
        answers.append(answer(day, score, item))
        at = datetime.combine(day, time(12), UTC)
        cards[item], _ = scheduler.review_card(cards.get(item, Card(1)), ratings[score], at)
        found = remember(answers, day)[item]
        assert found.stability == pytest.approx(cards[item].stability)
        assert found.difficulty == pytest.approx(cards[item].difficulty)


def test_the_first_steps_are_those_of_the_published_formulas() -> None:
    """FSRS-6, "The Algorithm", worked with its published weights."""
    w = Scheduler().parameters
    found = remember([answer(TODAY, 1.0)], TODAY)[ITEM]
    assert found.stability == pytest.approx(w[2])  # good
    assert found.difficulty == pytest.approx(w[4] - exp(w[5] * 2) + 1)
    assert remember([answer(TODAY, 0.0)], TODAY)[ITEM].stability == pytest.approx(w[0])
    assert remember([answer(TODAY, 1.0, hints=1)], TODAY)[ITEM].stability == pytest.approx(w[1])
    days = 5
    later = TODAY + timedelta(days=days)
    decay = -w[20]
    factor = 0.9 ** (1 / decay) - 1
    known = (1 + factor * days / w[2]) ** decay
    assert found.known(later) == pytest.approx(known)
    again = remember([answer(TODAY, 1.0), answer(later, 1.0)], later)[ITEM]
    grown = 1 + exp(w[8]) * (11 - found.difficulty) * w[2] ** -w[9] * (exp((1 - known) * w[10]) - 1)
    assert again.stability == pytest.approx(w[2] * grown)


# Laws.


@given(st.lists(st.tuples(st.integers(0, 9), st.sampled_from([0.0, 0.5, 0.75, 1.0])), max_size=30))
def test_laws_of_what_is_due(steps: list[tuple[int, float]]) -> None:
    day, answers = TODAY, []
    for days, score in steps:
        day += timedelta(days=days)
        answers.append(answer(day, score))
        found = remember(answers, day)[ITEM]
        assert found.last == day and day < found.due <= day + timedelta(days=36_500)
        assert 0 < found.stability and 1 <= found.difficulty <= 10 and found.missed <= found.asked
        assert found.known(day) >= found.known(found.due) >= found.known(found.due + timedelta(9))
        first = next(each for each in answers if each.at[:10] == day.isoformat())
        if first.score < 0.5:
            assert found.due == day + timedelta(days=1)


def test_an_answer_that_is_right_never_makes_it_due_earlier() -> None:
    waits = []
    day, answers = TODAY, list[Answered]()
    for _ in range(6):
        answers.append(answer(day, 1.0))
        due = remember(answers, day)[ITEM].due
        waits.append((due - day).days)
        day = due
    assert waits == sorted(waits) and waits[0] < 4 and waits[-1] > 100


def test_what_follows_on_the_same_day_is_help_and_changes_nothing() -> None:
    once = [answer(TODAY, 0.0)]
    assert remember(once, TODAY) == remember([*once, answer(TODAY, 1.0), *once], TODAY)


def test_a_clock_that_was_wrong_keeps_nothing_back_for_ever() -> None:
    far, today = date(2099, 1, 1), TODAY + timedelta(days=1)
    answers = [answer(TODAY, 0.0), answer(far, 1.0), answer(TODAY, 1.0)]
    assert [day for day, _ in days_of(answers, today)] == [TODAY, today, today]
    found = remember(answers, today)[ITEM]
    assert (found.asked, found.last) == (2, today) and found.due < today + timedelta(days=60)
    unreadable = Answered("yesterday", "q", 1, "parents", "words", 1, 1.0, 0, "", ITEM)
    assert remember([unreadable], today)[ITEM].asked == 1


def test_answers_of_the_first_format_are_kept_and_are_no_items() -> None:
    old = Answered("2031-05-04T17:20:09", "quay", 1, "scale", "words", 1, 1.0, 0, "Ab")
    assert remember([old], TODAY) == {} and confusions([old]) == ()


# What was taken for what.


def test_what_was_taken_for_what_is_kept_until_it_is_cleared_up() -> None:
    wrong = answer(TODAY, 0.0, instead="E7", wanted="G7")
    (found,) = confusions([wrong, wrong])
    assert (found.item, found.wanted, found.given, found.times) == (ITEM, "G7", "E7", 2)
    right = answer(TODAY, 1.0)
    assert len(confusions([wrong, right])) == 1
    assert len(confusions([wrong, right, wrong, right])) == 1
    assert confusions([wrong, right, right]) == ()


@pytest.mark.parametrize(("item", "pair"), [
    ("parents: Bdim7: ear", ("G7", "E7")),
    ("drone: semitones above 0: ear", ("Cdim7", "C#dim7")),
    ("targets: Bdim7: ear", ("C", "A")),
])  # fmt: skip
def test_a_contrast_has_one_of_the_two_as_its_answer(item: str, pair: tuple[str, str]) -> None:
    asked = contrast(item, pair, "quay", 1)
    assert asked is not None and asked.item == item and asked.choices == pair
    other = pair[pair[0] == asked.answer]
    assert asked.judge(asked.answer).score == 1 and asked.judge(other).score == 0


# A sitting.


@given(st.lists(st.booleans(), min_size=10, max_size=40))
def test_what_was_missed_comes_back_after_three_to_six_others(rights: list[bool]) -> None:
    sitting, missed = Sitting.of([f"shape: C{n}: neck" for n in range(8)], 1), dict[str, int]()
    for number, right in enumerate(rights, 1):
        due = sitting.at(number)
        item = due.item if due is not None else f"other: {number}: words"
        if due is not None:
            sitting = sitting.without(due)
        if item in missed:
            assert NEAREST <= number - missed.pop(item) - 1 <= FARTHEST
        if not right:
            missed[item] = number
        sitting = sitting.after(number, item, float(right))
        assert Sitting.parse(sitting.texts) == sitting
    assert set(missed) <= {each.item for each in sitting.due}


def test_a_word_that_is_no_item_is_left_out() -> None:
    due = Due(3, "function: V7 of V: ear", ("D7", "G7"))
    assert Due.parse(str(due)) == due and " " not in str(due)
    assert Sitting.parse(["x", "3@", "3@a:_b", "3@a:_b:_c~d", str(due)]).due == (due,)


# A day.


def test_no_question_comes_before_what_teaches_it() -> None:
    taught = {name: kind.taught for name, kind in KINDS.items()}
    for read in (["00"], ["02"], ["00", "03"], ["01", "04"]):
        kinds = {read_item(item)[0] for item in daily([], TODAY, read, count=30)}
        assert kinds and {taught[kind] for kind in kinds} <= set(read)
    assert daily([], TODAY, []) == ()
    with pytest.raises(HarmonyError, match="'seven' is not a notebook"):
        reached(["seven"])


def test_each_of_ten_is_another_and_can_be_asked() -> None:
    ten = daily([], TODAY)
    assert len(set(ten)) == len(ten) == 10 and len({read_item(item)[0] for item in ten}) > 5
    for item in ten:
        asked = asked_about(item, "quay", 1, 1)
        assert asked is not None and asked.item == item and asked.spec.medium in MEDIA
    assert all(read_item(a)[1] != read_item(b)[1] for a, b in zip(ten, ten[1:], strict=False))


def studied(weak: str, days: int) -> tuple[list[Counter[str]], list[Answered]]:
    """Return what a student who never knows one item is asked, day by day."""
    answers, asked = list[Answered](), list[Counter[str]]()
    for day in range(days):
        today, number = TODAY + timedelta(days=day), 0
        sitting, seen = Sitting.of(daily(answers, today, ["02"]), 1), Counter[str]()
        while sitting.due and number < 40:
            number += 1
            due = sitting.at(number)
            if due is None:
                continue  # another question, of no item here
            seen[due.item] += 1
            known = due.item != weak or seen[due.item] > 2
            sitting = sitting.without(due).after(number, due.item, float(known))
            answers.append(answer(today, float(known), due.item))
        asked.append(seen)
    return asked, answers


def test_a_student_with_one_weakness_is_asked_about_it_three_times_as_often() -> None:
    asked, answers = studied(ITEM, 21)
    times = sum(asked, Counter[str]())
    others = [count for item, count in times.items() if item != ITEM]
    assert times[ITEM] >= 3 * max(others)
    # It comes back on the next day, each time, and is the first to be asked.
    assert all(seen[ITEM] == 3 for seen in asked)
    assert daily(answers, TODAY + timedelta(days=21), ["02"])[0] == ITEM
    # What is known makes room for what is new.
    assert len(others) >= 50


def test_a_question_of_an_item_is_the_same_on_every_machine() -> None:
    asked = asked_about(ITEM, "quay", 4, 1)
    assert asked is not None
    assert asked.text == ask(Spec("quay", 4, "parents", "words", 1), _narrow()).text


def _narrow() -> object:
    from harmonykit.practice.theme import Theme

    return Theme(about="Bdim7")
