"""The places of an arrangement: every chord has one, and it says what stands and could stand."""

from __future__ import annotations

import pytest
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.places import alternatives
from harmonykit.arrange.revising import chosen_at
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import HarmonyError
from harmonykit.workbook.reharmonise.decisions import (
    MOST_OTHERS,
    Decisions,
    bar_said,
    held_bars,
    locked,
    others_at,
    place_at,
    places_of,
    said_of,
    slots_in,
)

TEXT = "| C6 A7 | Dm7 | G7 | C6 | C6 | C6 |"


@pytest.fixture(scope="module")
def way() -> Arrangement:
    (found,) = reharmonise(
        TEXT, "ukulele", ["leading-tone diminished"], 1, wishes=Wishes(density="full")
    )
    assert found.added
    return found


def test_each_step_has_a_place_in_the_slot_that_sounds_then(way: Arrangement) -> None:
    places = places_of(way)
    assert len({place.id for place in places}) == len(places) == len(way.steps)
    for place, step in zip(places, way.steps, strict=True):
        assert place.slot.onset <= step.onset < place.slot.end
        assert place_at(way, place.id) == place


def test_a_chord_that_is_gone_is_the_last_of_its_slot(way: Arrangement) -> None:
    last = [place for place in places_of(way) if place.number == 2][-1]
    assert place_at(way, "place-2-99") == last
    with pytest.raises(HarmonyError):
        place_at(way, "place-99-0")


def test_a_bar_is_held_where_all_its_slots_are(way: Arrangement) -> None:
    """C6 lasts over bars 4 and 5 as one slot of two bars: both are held, or neither."""
    decided = locked(Decisions(), way, slots_in(way, 3))
    assert held_bars(way, decided) == {3, 4}
    assert held_bars(way, Decisions(frozenset((2,)))) == {1}
    # Bar 1 has two slots: one of them is not the bar.
    assert held_bars(way, locked(Decisions(), way, slots_in(way, 0)[:1])) == frozenset()


def test_what_could_stand_has_what_stands_and_each_fills_the_slot(way: Arrangement) -> None:
    place = next(p for p in places_of(way) if way.steps[p.index].added)
    found = others_at(way, place)
    rows = [each.chosen for each in found]
    assert chosen_at(way, place.slot.onset) in rows and len(rows) > 2
    for row in rows:
        assert row[0][1] == place.slot.onset
        assert sum(beats for *_, beats in row) == place.slot.beats


def test_no_two_offers_read_alike() -> None:
    """A walk may come earlier or later in its two bars: it is offered once, the cheapest first."""
    tune = "| D6 | D6 | Em7 | Em7 | A7 | D6 |"
    (plain,) = reharmonise(tune, "ukulele", ["leading-tone diminished"], 1)
    first = places_of(plain)[0]
    every = [(one.chords, one.reason) for one in alternatives(plain, 1, most=MOST_OTHERS)]
    kept = [(one.chords, one.reason) for one in others_at(plain, first)]
    assert kept == list(dict.fromkeys(every)) and len(kept) < len(every)


def test_an_added_chord_has_a_reason_and_the_tunes_own_says_so(way: Arrangement) -> None:
    for place in places_of(way):
        why, _ = said_of(way, place)
        assert why.endswith(".")
        assert (why == "It is the tune's own chord.") == (not way.steps[place.index].added)


def test_a_chord_that_the_style_leaves_alone_says_why() -> None:
    (plain,) = reharmonise("| Dm7 G7 | C6 | C6 | Am7 |", "ukulele", k=1)
    first = places_of(plain)[0]
    why, _ = said_of(plain, first)
    assert (
        why == "It is the tune's own chord. The style adds nothing here: a ii–V is already there."
    )
    (asked,) = reharmonise(
        "| Dm7 G7 | C6 | C6 | Am7 |", "ukulele", (), k=1, wishes=Wishes(density="full")
    )
    assert said_of(asked, first)[0] == "It is the tune's own chord."


def test_a_place_is_told_by_the_beats_that_are_typed() -> None:
    """In 6/8 a beat is a dotted quarter: the second is beat 2 (common practice, no source)."""
    tune = tune_of("| G7 C6 | Dm7 | C6 |", meter="6/8")
    (played,) = reharmonise(tune, "ukulele", (), 1)
    assert [bar_said(played, n) for n in range(3)] == ["bar 1", "bar 1, beat 2", "bar 2"]
    (played,) = reharmonise("| C6 G7@2.5 | C6 |", "ukulele", (), 1)
    assert bar_said(played, 1) == "bar 1, beat 2.5"
