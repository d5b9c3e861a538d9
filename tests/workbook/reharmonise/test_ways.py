"""The ways that a search finds: each once, the front unbeaten, what is kept kept."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.arrange.styles import STYLES
from harmonykit.score.typed import open_file
from harmonykit.workbook.base.work import Stopped
from harmonykit.workbook.reharmonise.decisions import Decisions
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Ways, find_best, find_front

TEXT = "| Gm6 | Bb7 | Eb6 | D7 | Gm6 | Cm6 | F7 | Bb6 | Am7b5 | Gm6 |"


def quiet(done: int, total: int) -> None:
    pass


@pytest.fixture(scope="module")
def ways() -> Ways:
    text = open_file("heron_landing")[1]
    return find_front(find_best(ReharmoniseState(text=text), quiet), quiet)


def test_each_way_is_there_once(ways: Ways) -> None:
    sounded = [[(s.onset, s.chord, s.sounds) for s in r.arrangement.steps] for r in ways.rows]
    assert all(one not in sounded[:n] for n, one in enumerate(sounded))
    assert len({row.id for row in ways.rows}) == len(ways.rows)


def test_the_best_come_by_what_they_cost(ways: Ways) -> None:
    costs = [row.cost for row in ways.rows if row.id.startswith("best")]
    assert len(costs) == 5 and costs == sorted(costs)
    assert all(row.cost is None for row in ways.rows if row.id.startswith("front"))


def test_none_of_the_front_is_beaten_and_no_other_way_is_better(ways: Ways) -> None:
    """By brute force over all pairs, with the front's own three measures."""
    front = [row.values for row in ways.rows if row.on_front]
    assert len(front) == len(ways.front.points)
    for one in front:
        assert not any(
            other != one and all(b <= a for a, b in zip(one, other, strict=True)) for other in front
        )


SHOWN = [
    ("Pebble Street in Eb, 5/4 | Ebmaj7 | Cm7 | Fm7 Bb7 | Gm7 C7 | Fm7 | Abm6 | Ebmaj7 Bb7 | Eb6 |",
     "ukulele low g"),
    ("Key of F, 3/4 | F6 | D7 | Gm7 | C7 | F6 | Bb6 | Gm7 C7 | F6 |", "mandolin"),
    (TEXT, "baritone ukulele"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "instrument"), SHOWN)
def test_what_is_offered_is_unbeaten_by_the_numbers_of_the_table(
    text: str, instrument: str
) -> None:
    """The sentence of a choice has the table's numbers, and no row is better in all of them."""
    weights = STYLES["rich"].weights
    state = ReharmoniseState(text=text, instrument=instrument, style="rich", weights=weights)
    rows = find_front(find_best(state, quiet), quiet).rows
    measured = [
        (row.measures.semitones, row.measures.travel_mm, row.measures.added) for row in rows
    ]
    for row, one in zip(rows, measured, strict=True):
        assert row.values == one
        if row.on_front:
            others = [each for each in measured if each != one]
            assert not any(
                all(b <= a for a, b in zip(one, other, strict=True)) for other in others
            ), row.name
        if row.why:
            assert f"{one[0]} semitones, {one[1]} mm, {one[2]} added chord" in row.why


def test_the_choices_have_letters_in_order_and_a_reason(ways: Ways) -> None:
    lettered = [row for row in ways.rows if row.mark.isalpha()]
    assert [row.mark for row in lettered] == list("ABCDEFG")[: len(lettered)]
    assert all(row.why for row in lettered) and len(lettered) > 2


def test_a_way_takes_the_tunes_time_from_end_to_end(ways: Ways) -> None:
    for row in ways.rows:
        assert sum(step.beats for step in row.arrangement.steps) == ways.tune.length


def test_a_locked_bar_stays_as_it_is_written() -> None:
    state = ReharmoniseState(text=TEXT, decided=Decisions(frozenset((2, 3))), best=3)
    found = find_best(state, quiet)
    for row in found.rows:
        assert not [s for s in row.arrangement.added if s.bar + 1 in state.locked]
    assert any(row.arrangement.added for row in found.rows)


def test_tempo_and_limits_are_those_that_were_set() -> None:
    state = ReharmoniseState(text=TEXT, tempo=77, best=1)
    state = replace(state, limits=replace(state.limits, max_fret=3))
    row = find_best(state, quiet).rows[1]
    assert row.arrangement.tempo == 77 and row.measures.highest_fret <= 3


def test_where_the_tune_as_written_is_the_best_it_is_one_row_with_both_names() -> None:
    found = find_best(ReharmoniseState(text=TEXT, moves=(), best=4), quiet)
    assert [row.id for row in found.rows] == ["written", "best-2", "best-3", "best-4"]
    first = found.chosen("best-1")
    assert first is found.rows[0] and first.name == "as written, usual 1"
    assert first.cost is not None and first.cost <= min(row.cost or 0 for row in found.rows[1:])
    assert not any(row.arrangement.added for row in found.rows)


def test_what_the_tune_as_written_costs_is_not_told_where_it_is_none_of_the_best(
    ways: Ways,
) -> None:
    """A chance that is not taken has its price, and without moves there is none."""
    assert ways.rows[0].id == "written" and ways.rows[0].cost is None


def test_the_table_has_all_with_a_mark_and_what_is_shown(ways: Ways) -> None:
    plain = [row for row in ways.rows if not row.is_told]
    assert plain
    state = replace(ways.state, chosen=plain[-1].id)
    listed = ways.listed(state)
    assert plain[-1] in listed and plain[0] not in listed
    assert {row.id for row in ways.rows if row.is_told} <= {row.id for row in listed}


@pytest.mark.parametrize("column", ["travel_mm", "semitones", "cost"])
def test_the_table_is_sorted_by_a_column(ways: Ways, column: str) -> None:
    listed = ways.listed(replace(ways.state, order=column))
    # The tune as written comes first, to compare with.
    assert listed[0].id == "written"
    found = [r.cost if column == "cost" else getattr(r.measures, column) for r in listed[1:]]
    known = [value for value in found if value is not None]
    assert known == sorted(known) and found[: len(known)] == known


def test_a_search_ends_where_it_is_told_to() -> None:
    def stop(done: int, total: int) -> None:
        raise Stopped

    with pytest.raises(Stopped):
        find_best(ReharmoniseState(text=TEXT), stop)


def test_what_is_on_the_front_has_the_measures_of_one_of_its_points() -> None:
    """The same notes lie on other frets of the ukulele: the hand may travel less for them."""
    state = ReharmoniseState(text=open_file("ropewalk_blues")[1], best=5)
    found = find_front(find_best(state, quiet), quiet)
    assert found.front is not None
    points = {point.values for point in found.front.points}
    for row in found.rows:
        assert (row.values in points) == bool(row.on_front), row.name
