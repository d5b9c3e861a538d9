"""A level asks for few new grips, and a grip keeps its fingers from level to level.

How many a class can learn: common practice, no source.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import chain, combinations
from types import SimpleNamespace
from typing import Any

import pytest

from harmonykit.arrange.fingers import fingers_of
from harmonykit.arrange.learning import Learning
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.writing import write_draft
from harmonykit.lesson.few_grips import NEW_GRIP, FewGrips, too_many
from harmonykit.lesson.plan.model import Lesson
from harmonykit.paths import find_data, shipped

GRIPS = [Voicing.parse(frets) for frets in ("0003", "2010", "0212", "0232", "2220", "1202", "0001")]


def form(shape: Voicing) -> tuple[int | None, ...]:
    """Return the frets of a shape, put at fret 1 where no string is open."""
    low = min(fret for fret in shape.frets if fret is not None)
    return shape.frets if low == 0 else tuple(f and f - low + 1 for f in shape.frets)


# What a price for grips does in a search --------------------------------------------------------


def test_where_every_grip_costs_as_much_the_same_ones_are_played() -> None:
    """As many chords sound in any way to play a tune as written: the price is a sum for all."""
    (free,) = reharmonise("slack_water_waltz", "ukulele", (), 1)
    wishes = Wishes(learning=Learning(others=1000))
    (dear,) = reharmonise("slack_water_waltz", "ukulele", (), 1, wishes=wishes)
    assert [step.voicing for step in dear.steps] == [step.voicing for step in free.steps]
    assert dear.cost == free.cost + 1000 * len(free.sounding)


def test_no_other_grips_are_played_where_the_others_can_not_be_paid() -> None:
    tune, moves = "heron_landing", ("leading-tone diminished",)
    (free,) = reharmonise(tune, "ukulele", (), 1)
    kept = {form(shape) for shape in free.shapes}
    (best,) = reharmonise(tune, "ukulele", moves, 1)
    assert {form(shape) for shape in best.shapes} - kept
    wishes = Wishes(learning=Learning(tuple((each, 0) for each in kept), 1_000_000))
    (way,) = reharmonise(tune, "ukulele", moves, 1, wishes=wishes)
    assert {form(shape) for shape in way.shapes} <= kept


# Few of them --------------------------------------------------------------------------------------


def a_row(number: random.Random) -> tuple[Voicing, ...]:
    return tuple(number.choices(GRIPS, k=8))


class Played:
    """All rows that there are, each with a cost: the cheapest is played, prices counted."""

    def __init__(self, seed: int) -> None:
        number = random.Random(seed)
        self.rows = {a_row(number): number.randrange(1000, 4000) for _ in range(200)}

    def __call__(self, learning: Learning) -> Any:
        prices: Mapping[Any, int] = dict(learning.prices)
        cost = {
            row: own + sum(prices.get(form(shape), learning.others) for shape in row)
            for row, own in self.rows.items()
        }
        row = min(cost, key=lambda each: cost[each])
        steps = tuple(SimpleNamespace(voicing=shape, alone=False) for shape in row)
        return SimpleNamespace(sounding=steps, cost=cost[row])


def new(way: Any, known: frozenset[Any]) -> int:
    return len({form(step.voicing) for step in way.sounding} - known)


@pytest.mark.parametrize("most", [2, 3])
def test_what_is_found_is_seldom_dearer_than_the_best_of_all_sets_of_grips(most: int) -> None:
    """Brute force over all sets of new grips; the rounds find the best or one near it."""
    known = frozenset(map(form, GRIPS[:2]))
    others = [form(shape) for shape in GRIPS[2:]]
    best_found = 0
    for seed in range(8):
        play = Played(seed)
        free = play(Learning())
        way = FewGrips(play, known, most, lambda _: True).of(free)
        told = {}
        for chosen in chain.from_iterable(combinations(others, n) for n in range(most + 1)):
            told_free = dict.fromkeys([*known, *chosen], 0)
            one = play(Learning(tuple(told_free.items()), 1_000_000))
            if one.cost < 1_000_000:
                told[chosen] = one.cost + NEW_GRIP * new(one, known)
        if not told:
            assert new(way, known) <= new(free, known)
            continue
        assert new(way, known) <= most
        best_found += way.cost + NEW_GRIP * new(way, known) == min(told.values())
    assert best_found >= 4


def test_what_is_no_longer_the_level_is_not_taken() -> None:
    play = Played(3)
    free = play(Learning())
    way = FewGrips(play, frozenset(), 2, lambda _: False).of(free)
    assert way is free


MOST = (5, 5, 8, 8, 8)


@pytest.fixture(scope="module")
def waltz(tmp_path_factory: pytest.TempPathFactory) -> Lesson:
    path = tmp_path_factory.mktemp("waltz") / "draft.md"
    return load_lesson(write_draft(path, "slack_water_waltz", "slack_water_waltz", "guitar"))


def test_the_levels_of_a_draft_on_guitar_ask_for_few_new_grips(waltz: Lesson) -> None:
    """Its first level has a shape for each of the tune's chords, which are seven."""
    known: set[tuple[int | None, ...]] = set()
    for number, played in enumerate(waltz.played):
        way = played.arrangement
        forms = {form(step.voicing) for step in way.sounding if step.voicing}
        most = MOST[number] if number else len(way.tune.chords)
        assert len(forms - known) <= most, (played.level.name, len(forms - known))
        known |= forms


def test_a_level_with_few_grips_adds_as_much_as_it_would(waltz: Lesson) -> None:
    way = waltz.played[1].arrangement
    asked = replace(way.asked, learning=None, known=())
    (free,) = reharmonise(way.tune, way.instrument, way.moves, 1, wishes=asked)
    assert len({form(s) for s in free.shapes}) > len({form(s) for s in way.shapes})
    assert len(way.added) >= len(free.added)


# Fingers ------------------------------------------------------------------------------------------


def fingers(row: str, taught: Mapping[str, tuple[int, ...]] | None = None) -> list[tuple[Any, ...]]:
    """Return the fingers of shapes on a ukulele."""
    shapes = [Voicing.parse(frets) for frets in row.split()]
    bars = [((shape, Fraction(0), Fraction(4)),) for shape in shapes]
    told = tuple((Voicing.parse(frets).frets, held) for frets, held in (taught or {}).items())
    found = fingers_of(bars, range(len(bars)), Limits(), told)
    return [held.fingers for held, _ in found if held is not None]


def test_a_grip_is_held_as_it_was_taught() -> None:
    """G with index, ring and middle, as any book has it; or as the class was taught."""
    assert fingers("0232") == [(0, 1, 3, 2)]
    assert fingers("0232", {"0232": (0, 2, 4, 3)}) == [(0, 2, 4, 3)]
    # What four fingers can not do, or another grip, is as if nothing was said.
    assert fingers("0232", {"0232": (0, 4, 1, 2), "0003": (0, 0, 0, 2)}) == [(0, 1, 3, 2)]
    # A movable grip is taught for all frets.
    assert fingers("3434", {"1212": (1, 2, 1, 4)}) == [(1, 2, 1, 4)]


@pytest.mark.parametrize("name", [n for n in shipped("lessons") if "one" in n or "stiff" in n])
def test_a_shape_has_the_same_fingers_at_all_levels(name: str) -> None:
    held: dict[Voicing, set[Any]] = {}
    for played in load_lesson(find_data("lessons", name)).played:
        way = played.arrangement
        first: dict[Voicing, Any] = {}
        for step, fingering in zip(way.steps, way.fingerings, strict=True):
            if step.voicing is not None and fingering is not None:
                first.setdefault(step.voicing, fingering.fingers)
        for shape, each in first.items():
            held.setdefault(shape, set()).add(each)
    assert any(len(found) for found in held.values())
    assert {shape.digits for shape, found in held.items() if len(found) > 1} == set()


def test_the_build_says_which_levels_have_more_than_a_class_can_learn(waltz: Lesson) -> None:
    """Seven chords, seven shapes at the first level; the levels after it have few."""
    assert list(too_many(waltz)) == [
        'level 1, "As written", has seven new grips, where five are enough: easier is another key '
        "or a capo (harmonykit parts TUNE lists them), or a section of the tune alone"
    ]
    (name, *_) = shipped("lessons")
    assert list(too_many(load_lesson(find_data("lessons", name)))) == []
