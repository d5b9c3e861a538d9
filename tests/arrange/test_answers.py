"""What moves answer in the places of a tune: as each answers by itself, for the setting asked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from harmonykit.arrange.answers import answers_in
from harmonykit.arrange.idioms.rule import IdiomMove, idiom_moves
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.moves.rule import Refused, Setting
from harmonykit.arrange.slots import Slot, phrasing
from harmonykit.score.files import read_tune

NAMES = frozenset([*MOVES, *idiom_moves()])


@pytest.mark.parametrize("name", ["slack_water_waltz", "heron_landing"])
def test_each_answers_for_its_own_setting(name: str) -> None:
    tune = read_tune(name)
    usual = Setting(tune.key, tune.melody, tune.tempo, 0.5, True, False, NAMES, *phrasing(tune))
    slow = replace(usual, tempo=240, moves=frozenset(["ascending walk"]))
    seen = set()
    # By turns, so that an answer for one setting could be taken for one of the other.
    for setting in (usual, slow, replace(usual, bass_player=True), usual):
        answers = answers_in(tune, replace(setting, moves=frozenset()))
        found = []
        for index, slot in enumerate(answers.slots):
            for rule in (*MOVES.values(), *idiom_moves().values()):
                if isinstance(rule, IdiomMove):
                    alone = tuple(rule.spans(answers.slots, index, setting))
                else:
                    alone = tuple(rule.offer(slot, setting))
                found.append(answers.of(rule, index, setting.moves))
                assert found[-1] == alone, (rule.name, index)
        seen.add(str(found))
    assert len(seen) == 3


class Counting:
    """A move that answers otherwise each time: it counts."""

    name = "counting"
    times = 0

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Refused]:
        self.times += 1
        yield Refused(f"asked {self.times} times")


def test_a_move_that_can_change_is_asked_each_time() -> None:
    tune = read_tune("slack_water_waltz")
    answers, rule = answers_in(tune, Setting(tune.key)), Counting()
    found = [answers.of(rule, 0, frozenset()) for _ in range(2)]
    assert found == [(Refused("asked 1 times"),), (Refused("asked 2 times"),)]
    for shipped in (*MOVES.values(), *idiom_moves().values()):
        again = (answers.of(shipped, 0, frozenset()) for _ in range(2))
        assert next(again) is next(again), shipped.name
