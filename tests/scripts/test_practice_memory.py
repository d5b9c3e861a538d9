"""What a page of questions remembers: the days of FSRS, what comes back when, and the store."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import fsrs
from playwright.sync_api import Page

Load = Callable[[str], Page]
MEMORY, QUEUE = "practice/memory.js", "practice/queue.js"
NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)
REVIEW = """
(rows) => {
  let card = null;
  return rows.map(([score, at]) => {
    card = kit.reviewed(card, score, at);
    return [card.due.getTime(), card.stability, card.difficulty];
  });
}
"""


def test_days_are_those_of_the_library_that_python_has(load: Load) -> None:
    """Two hundred reviews of twenty cards, against ``fsrs``, written by others: to the minute."""
    draw = random.Random(5)
    page = load(MEMORY)
    scheduler = fsrs.Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
    ratings = {1.0: fsrs.Rating.Good, 0.5: fsrs.Rating.Hard, 0.0: fsrs.Rating.Again}
    for _ in range(20):
        card, at, rows, wanted = fsrs.Card(), NOON, [], []
        for _ in range(10):
            score = draw.choice((1.0, 1.0, 0.5, 0.0))
            card, _log = scheduler.review_card(card, ratings[score], at)
            rows.append((score, at.timestamp() * 1000))
            wanted.append((card.due.timestamp() * 1000, card.stability, card.difficulty))
            at = card.due + timedelta(hours=draw.choice((0, 1, 30, 100)))
        found = page.evaluate(REVIEW, rows)
        for one, other in zip(found, wanted, strict=True):
            assert abs(one[0] - other[0]) < 60_000, (rows, found, wanted)
            assert abs(one[1] - other[1]) < 1e-3 * max(1, other[1])
            assert abs(one[2] - other[2]) < 1e-3


def questions(items: int, each: int = 3) -> list[dict[str, Any]]:
    """Questions of some items in turn; an item's right answer is its name."""
    row = []
    for turn in range(each):
        for n in range(items):
            offers = [{"say": f"r{n}", "right": 1}]
            offers += [{"say": f"r{(n + by) % items}"} for by in (1, 2, -1)]
            row.append(
                {"item": f"i{n}", "kind": "parents", "ask": f"{n}/{turn}", "place": "list",
                 "why": "", "offers": offers}
            )  # fmt: skip
    return row


# Days of ten questions, answered by a student who knows all but some items; returns what was asked.
SIT = """
([kept, questions, weak, days, start]) => {
  const asked = [];
  for (let day = 0; day < days; day++) {
    for (let n = 0; n < 10; n++) {
      const now = start + day * 86400000 + n * 30000;
      const number = kit.nextQuestion(questions, kept, now);
      const question = questions[number];
      const score = weak.includes(question.item) ? 0 : 1;
      const [right, given] = question.offers.map(({ say }) => say);
      const mixed = score ? "" : `${right}|${given}`;
      kit.take(kept, question, number, { score, mixed, now, ms: 4000 });
      kept = JSON.parse(JSON.stringify(kept));
      asked.push([day, number, question.item, score]);
    }
  }
  return [asked, kept];
}
"""


def sit(load: Load, row: list[dict[str, Any]], weak: list[str], days: int) -> Any:
    nothing = load(MEMORY).evaluate("kit.nothingYet()")
    return load(QUEUE).evaluate(SIT, [nothing, row, weak, days, NOON.timestamp() * 1000])


def test_a_missed_question_comes_back_after_three_to_six_others(load: Load) -> None:
    asked, _kept = sit(load, questions(40), ["i2", "i5"], 1)
    for place, (_, number, _, score) in enumerate(asked):
        later = [n for n, row in enumerate(asked) if n > place and row[1] == number]
        if score == 0 and place + 7 < len(asked):
            assert later and 4 <= later[0] - place <= 7, (place, asked)
        if score == 1:
            assert not later  # what was right is not asked again on the day


def test_one_weakness_is_asked_three_times_as_often_and_comes_back_the_next_day(
    load: Load,
) -> None:
    asked, kept = sit(load, questions(8, 5), ["i3"], 6)
    times = {item: sum(row[2] == item for row in asked) for item in {row[2] for row in asked}}
    others = [many for item, many in times.items() if item != "i3"]
    assert times["i3"] >= 3 * sum(others) / len(others)
    for day in range(1, 6):
        assert any(row[0] == day and row[2] == "i3" for row in asked), day
    assert kept["mixed"] == {"r3|r4": times["i3"]}
    assert kept["kinds"]["parents"] == [60, 60 - times["i3"]]


def test_what_was_taken_for_something_else_is_asked_beside_it(load: Load) -> None:
    row = questions(40)
    asked, _ = sit(load, row, ["i2"], 1)
    plain, _ = sit(load, row, [], 1)
    assert [each[2] for each in plain] == [f"i{n}" for n in range(10)]
    assert asked[2][2] == "i2"  # r3 was given for r2
    for place in (5, 8):
        offers = row[asked[place][1]]["offers"]
        right, *wrong = (each["say"] for each in offers)
        assert (right == "r2" and "r3" in wrong) or (right == "r3" and "r2" in wrong)


def test_what_is_stored_is_read_and_what_is_broken_is_begun_anew(load: Load) -> None:
    page = load(MEMORY)
    told = page.evaluate(
        "() => { const s = new kit.Store('x'); const k = s.read(); k.answers = 4; s.write(k);"
        " const again = new kit.Store('x').read().answers;"
        " localStorage.setItem('x', '{\"format\": 9}'); const later = s.read().answers;"
        " localStorage.setItem('x', 'rubbish'); return [again, later, s.read().answers, s.works]; }"
    )
    assert told == [4, 0, 0, True]


def test_a_browser_that_stores_nothing_is_told_of(load: Load) -> None:
    page = load(MEMORY)
    told = page.evaluate(
        "() => { Object.defineProperty(window, 'localStorage', { get() { throw new Error(); } });"
        " const s = new kit.Store('x'); return [s.read().answers, s.works]; }"
    )
    assert told == [0, False]
