"""Names of earlier versions: each leads to one that there is, and today's lead to themselves."""

from __future__ import annotations

import pytest

from harmonykit.arrange.measures import ABOUT
from harmonykit.arrange.moves import MOVES, move_named
from harmonykit.arrange.styles import STYLES, style_named
from harmonykit.arrange.survey.cells import COLUMNS
from harmonykit.lesson.statements.signature import EXAMPLES
from harmonykit.words.former import FORMER, current

# The moves and purposes of 0.1.0, written down from its help and its page.
MOVES_OF_0_1_0 = [
    "approach", "dominant to diminished", "climb", "descent", "falling", "auxiliary", "held bass",
    "tritone partner", "other parent", "rootless ninth", "borrowed note", "rename",
]  # fmt: skip
STYLES_OF_0_1_0 = ["usual", "smooth", "near the nut", "climbing", "few shapes"]


@pytest.mark.parametrize("name", MOVES_OF_0_1_0)
def test_a_move_of_0_1_0_is_found(name: str) -> None:
    assert move_named(name).name in MOVES


def test_no_two_old_moves_are_one_now() -> None:
    assert len({move_named(name).name for name in MOVES_OF_0_1_0}) == len(MOVES_OF_0_1_0)


@pytest.mark.parametrize("name", STYLES_OF_0_1_0)
def test_a_purpose_of_0_1_0_is_a_style(name: str) -> None:
    assert style_named(name) in STYLES


@pytest.mark.parametrize("kind", FORMER)
def test_what_a_name_leads_to_is_there(kind: str) -> None:
    there = {
        "move": [*MOVES],
        "style": [*STYLES],
        "call": [*EXAMPLES],
        "column": [*COLUMNS, *ABOUT],
    }[kind]
    for old, new in FORMER[kind].items():
        assert new in there and old not in there
        assert current(kind, new) == new


@pytest.mark.parametrize("typed", ["Tritone-Partner", " tritone  partner ", "TRITONE PARTNER"])
def test_case_blanks_and_hyphens_do_not_matter(typed: str) -> None:
    assert current("move", typed) == "tritone substitution"


def test_an_unknown_name_is_given_back() -> None:
    assert current("move", "moonwalk") == "moonwalk"
