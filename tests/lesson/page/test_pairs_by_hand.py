"""The changes of a page as values: two shapes, the easier grip, the bars to practise first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.figures import Figures, Styles
from harmonykit.lesson.page.pairs import view_bars_first, view_pairs
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.together.rescue import practised_changes


@pytest.fixture(scope="module")
def played(
    tmp_path_factory: pytest.TempPathFactory, write_lesson: Callable[[Path], Path]
) -> Callable[[Arrangement], Played]:
    """Return a maker of levels that are played as an arrangement is."""
    one = load_lesson(write_lesson(tmp_path_factory.mktemp("pairs"))).played[0]
    return lambda way: replace(one, arrangement=way, level=replace(one.level, tempo=way.tempo))


Maker = Callable[[Arrangement], Played]


def test_the_two_hardest_changes_are_shown_with_an_easier_grip(
    played: Maker, arranged: Arranged
) -> None:
    way = arranged("C=0003 | D7=2223 | Am=2000 | E=4442 | C=0003", tempo=80)
    pairs = view_pairs(played(way), Figures(Styles()))
    hard = practised_changes(way, 80)
    assert len(pairs) == 2 < len(hard)
    for pair, one in zip(pairs, hard, strict=False):
        assert (pair.before.name, pair.after.name) == one.names
        assert pair.before.digits == one.before.voicing.digits  # type: ignore[union-attr]
        assert pair.after.digits == one.after.voicing.digits  # type: ignore[union-attr]
        assert pair.lines
    # Neither C nor A minor has an easier grip, and none is told.
    (plain,) = view_pairs(played(arranged("C=0003 | Am=2000")), Figures(Styles()))
    assert plain.easier == ("", "", "")
    (pair,) = view_pairs(played(arranged("C=0003 | D7=2223")), Figures(Styles()))
    assert pair.easier == ("D7", "2-0-2-0", "no root")
    assert pair.after.alt.startswith("D7, 2-2-2-3: ")
    # The easier grip may stand for the chord before.
    (pair,) = view_pairs(played(arranged("D7=2223 | F=2010")), Figures(Styles()))
    assert pair.easier == ("D7", "2-0-2-0", "no root")


@pytest.mark.parametrize(
    ("bars", "meter", "beats"),
    [
        ("C=0003 F:2=2010 | G7=0212", (4, 4), (("C", "", "F", ""), ("G7", "", "", ""))),
        ("C=0003 | G7=0212 NC:3", (4, 4), (("C", "", "", ""), ("G7", "", "", "N.C."))),
        # Two beats of three eighths each: what begins within a beat stands in it.
        ("C=0003 F:3/2=2010 | G7=0212 C:1=0003", (6, 8), (("C", "F"), ("G7 C", ""))),
        # Three quarters are a beat and a half of two halves: the last beat is short.
        ("C=0003 F:2=2010 | G7=0212", (3, 4), (("C", "", "F"), ("G7", "", ""))),
    ],
)
def test_the_beats_of_two_bars(
    played: Maker,
    arranged: Arranged,
    bars: str,
    meter: tuple[int, int],
    beats: tuple[tuple[str, ...], ...],
) -> None:
    found = view_bars_first(played(arranged(bars, meter, tempo=90)))
    assert found is not None and found.bars == beats
    assert (found.first, found.title) == (0, "bars 1 and 2")
    assert found.look == "Look at the frets of G7 before the bar ends."
    said = "dotted quarter = 36, then 48, then 60" if meter == (6, 8) else (
        "54, then 72, then 90 beats a minute"
    )  # fmt: skip
    assert found.note == f"Loop bars 1 and 2 at {said}."


def test_nothing_is_practised_first_where_all_changes_are_within_bars(
    played: Maker, arranged: Arranged
) -> None:
    assert view_bars_first(played(arranged("C=0003 F:2=2010 | F=2010"))) is None
    assert view_bars_first(played(arranged("C=0003 | C=0003"))) is None
    assert view_pairs(played(arranged("C=0003 | C=0003")), Figures(Styles())) == ()
    # The bars are those of the hardest change over a bar line, not the first ones.
    later = view_bars_first(played(arranged("C=0003 | C6=0000 | D7=2223 | D7=2223")))
    assert later is not None and (later.first, later.title) == (1, "bars 2 and 3")
