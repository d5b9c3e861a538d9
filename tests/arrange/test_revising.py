"""An arrangement found anew where demands changed: what stays, what comes out, what it costs.

Laws: around a place all else stays; what is found is a way of the whole network, at its price there
(held against brute force in ``test_best_of_all``); with everything around it is the best of all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_tunes import tune_of, tunes

from harmonykit.arrange import places, styles
from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.demanded import written_in
from harmonykit.arrange.front import pareto_front
from harmonykit.arrange.idioms.reading import IDIOMS
from harmonykit.arrange.moves import USUAL
from harmonykit.arrange.offering import MELODY, densities, moves_of, offers
from harmonykit.arrange.places import Alternative, alternatives, refused_at
from harmonykit.arrange.revising import choices_of, chosen_at, revise
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.slots import slots_of
from harmonykit.arrange.space import search_space
from harmonykit.arrange.wishes import Demands, Wishes
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
LANDING = read_tune(find_data("tunes", "heron_landing"))
SOME = (*USUAL, "tritone substitution", "suspension")
"""So few moves that none is made dearer for being used too often."""


def best(tune: Tune, moves: tuple[str, ...], demands: Demands | None = None) -> Arrangement:
    return reharmonise(tune, UKULELE, moves, 1, wishes=Wishes(demands=demands))[0]


def without(way: Arrangement, step: Step) -> Demands:
    assert step.chord is not None
    asked = way.asked.demands or Demands()
    return replace(asked, refused=(*asked.refused, (step.onset, step.chord)))


def stands(way: Arrangement, refused: Step) -> bool:
    """Whether a chord with the notes of one that was refused is added in its slot."""
    (slot,) = (s for s in slots_of(way.tune) if s.onset <= refused.onset < s.end)
    return any(
        step.added and step.chord != slot.chord and step.chord is not None
        and refused.chord is not None and step.chord.pcs == refused.chord.pcs
        for step in way.steps if slot.onset <= step.onset < slot.end
    )  # fmt: skip


def outside(way: Arrangement, bar: int, around: int) -> list[object]:
    """Return what is heard further than so many bars from a bar; slots have two bars at most."""
    return [
        (step.onset, step.chord, step.voicing)
        for step in way.steps
        if abs(step.bar - bar) > around + 2
    ]


def priced_anew(way: Arrangement) -> int | None:
    """Return what a way costs in the network of the whole tune."""
    space = search_space(way.tune, way.instrument, way.moves, way.asked)
    return space.network.price_of(choices_of(way, slots_of(way.tune)))


@pytest.mark.parametrize("tune", ["heron_landing", "slack_water_waltz", "ropewalk_blues"])
def test_every_added_chord_can_be_refused_and_every_place_has_alternatives(tune: str) -> None:
    """Around a place all else stays, and what is found costs what the whole network says."""
    (way,) = reharmonise(tune, UKULELE, k=1)
    places = {step.onset: step for step in way.added if step.chord != step.written}
    assert priced_anew(way) == way.cost and len(places) > 2
    for step in places.values():
        found = revise(way, without(way, step))
        assert stands(way, step) and not stands(found, step)
        assert outside(found, step.bar, 2) == outside(way, step.bar, 2)
        assert found.asked.demands == without(way, step)
    assert priced_anew(found) == found.cost
    for place, slot in enumerate(slots_of(way.tune)[::3]):
        if slot.chord is not None:
            offered = [each.chosen for each in alternatives_in(way, 3 * place, most=2)]
            assert written_in(slot) in offered and chosen_at(way, slot.onset) in offered


def test_what_was_taken_at_one_place_is_kept_when_the_next_is_asked_for() -> None:
    """Moves that were not asked for may stand there, and are known when a neighbour changes."""
    way = best(tune_of("| C6 | A7 | Dm7 | G7 | C6 | C6 |"), ())
    first = next(each for each in alternatives(way, 2) if each.chords == "E♭7").arrangement
    then = next(each for each in alternatives(first, 4) if each.chords == "D♭7").arrangement
    assert [str(step.chord) for step in then.added] == ["Eb7", "Db7"]
    assert [str(step.chord) for step in revise(then, then.asked.demands, None).added][0] == "Eb7"


def alternatives_in(way: Arrangement, place: int, most: int) -> tuple[Alternative, ...]:
    """Return what could stand in a slot, which is counted in the bar where it starts."""
    slots = slots_of(way.tune)
    bar = slots[place].bar
    before = [slot for slot in slots[:place] if slot.pieces[-1].bar == bar]
    return alternatives(way, bar + 1, len(before) + 1, USUAL, most)


@given(tune=tunes(bars=5), data=st.data())
@settings(max_examples=settings().max_examples // 2)
def test_with_everything_around_it_is_the_best_of_all(tune: Tune, data: st.DataObject) -> None:
    """A chord refused, one of the alternatives wanted, one kept: the best of a search with it."""
    way = reharmonise(tune, UKULELE, SOME, 1, wishes=Wishes(limits=Limits(7)))[0]
    bars = len(tune.playing)
    kind = data.draw(st.sampled_from(("refused", "wanted", "kept")))
    if kind == "refused":
        steps = [s for s in way.added if s.chord != s.written]
        if not steps:
            return
        demands = without(way, data.draw(st.sampled_from(steps)))
    elif kind == "wanted":
        step = data.draw(st.sampled_from(way.steps))
        other = data.draw(st.sampled_from(alternatives(way, step.bar + 1, moves=SOME)))
        demands = Demands(wanted=(other.chosen,))
    else:
        demands = Demands(wanted=(chosen_at(way, data.draw(st.sampled_from(way.steps)).onset),))
    whole = revise(way, demands, None)
    assert (
        whole
        == reharmonise(tune, UKULELE, SOME, 1, wishes=Wishes(limits=Limits(7), demands=demands))[0]
    )
    local = revise(way, demands, bars)
    assert local.cost == whole.cost
    near = revise(way, demands, data.draw(st.integers(0, 2)))
    assert near.cost >= whole.cost and priced_anew(near) == near.cost
    for row in demands.wanted:
        assert chosen_at(whole, row[0][1]) == chosen_at(near, row[0][1]) == row


def test_of_nothing_new_nothing_comes_and_what_is_taken_back_is_open_again() -> None:
    way = best(LANDING, SOME)
    assert revise(way, Demands()) == replace(way, asked=replace(way.asked, demands=Demands()))
    no = without(way, way.added[5])
    back = revise(revise(way, no), Demands())
    assert back.cost <= revise(way, no).cost and outside(back, way.added[5].bar, 2) == outside(
        way, way.added[5].bar, 2
    )


def test_locked_bars_and_demands_on_the_whole() -> None:
    """A bar that is locked is as the tune has it; a demand on every bar asks for a whole search."""
    way = best(LANDING, SOME)
    bar = LANDING.playing[way.added[0].bar].bar.number
    locked = revise(way, Demands(locked=frozenset({bar})))
    numbers = [played.bar.number for played in LANDING.playing]
    assert bar not in {numbers[step.bar] for step in locked.added}
    for calm in (Demands(changes_a_bar=1), Demands(no_added_clashes=True)):
        assert revise(way, calm) == best(LANDING, SOME, calm)


def test_an_idiom_over_several_slots_is_not_cut() -> None:
    """What is found beside an idiom leaves all of it, or none of it."""
    names = tuple(moves_of("rich"))
    tune = tune_of("| C6 | Am7 | Dm7 | G7 | C6 | C7 | F6 | Fm6 | Em7 | A7 | Dm7 | G7 | C6 | C6 |")
    way = reharmonise(tune, UKULELE, names, 1, style="rich", wishes=Wishes(density="full"))[0]
    spans = {step.move for step in way.added} & set(IDIOMS)
    assert spans
    for step in [step for step in way.added if step.chord != step.written][::2]:
        found = revise(way, without(way, step), 0)
        assert priced_anew(found) == found.cost


def test_arrangements_of_other_searches_are_found_anew_too() -> None:
    """Of a front, of steps of density; with the moves and wishes of each."""
    points = pareto_front("slack_water_waltz", "ukulele").points
    front = next(point.arrangement for point in points if point.arrangement.added)
    few = densities(best(LANDING, SOME))[1]
    for way in (front, few):
        step = way.added[0]
        assert not stands(revise(way, without(way, step)), step)
    others = [step.onset for step in few.added[1:]]
    assert {s.onset for s in revise(few, without(few, few.added[0])).added} >= set(others)


def test_what_cannot_be_demanded_of_a_place_is_said() -> None:
    tune = tune_of("| Dm7 | G7 | C6 | C6 |")
    way = best(tune, USUAL)
    with pytest.raises(HarmonyError, match="bar 2: G7 is the tune's own chord"):
        revise(way, Demands(refused=((4, "G7"),)))  # type: ignore[arg-type]
    with pytest.raises(HarmonyError, match="nothing sounds at quarter note 99"):
        revise(way, Demands(refused=((99, "G7"),)))  # type: ignore[arg-type]
    with pytest.raises(HarmonyError, match="fill the place of a chord, here from 4 to 8"):
        revise(way, Demands(wanted=((("Bdim7", 6, 2),),)))  # type: ignore[arg-type]
    with pytest.raises(HarmonyError, match="leave a gap"):
        Demands(wanted=((("G7", 4, 2), ("Bdim7", 7, 1)),))  # type: ignore[arg-type]
    with pytest.raises(HarmonyError, match="was not found by a search"):
        revise(replace(way, parts=()), Demands())


@pytest.mark.parametrize(
    "asked",
    [
        lambda way: alternatives(way, 1),
        lambda way: places.refused_at(way, "1"),
        lambda way: places.replaced_at(way, "1", "C6"),
    ],
)
def test_places_of_a_chord_melody_are_refused_in_a_teachers_words(
    asked: Callable[[Arrangement], object],
) -> None:
    tune = tune_of("| C6 | G7 |", melody="| C5:4 | B4:4 |")
    (offer,) = offers(tune, "ukulele", [MELODY])
    with pytest.raises(HarmonyError, match="'chord melody' was not found by a search") as said:
        asked(offer.arrangement)
    assert "hk." not in str(said.value)


@pytest.mark.parametrize("around", [2, None])
def test_what_no_move_offers_is_played_where_it_is_wanted(around: int | None) -> None:
    way = best(tune_of("| Dm7 | G7 | C6 | C6 |"), USUAL)
    wanted = (("F#m7", 4, 2), ("Db9", 6, 2))
    found = revise(way, Demands(wanted=(wanted,)), around)  # type: ignore[arg-type]
    steps = found.bars()[1]
    assert [str(step.chord) for step in steps] == ["F#m7", "Db9"]
    assert all(step.reason == "Your choice." for step in steps)


def test_a_name_for_the_same_notes_is_refused_with_it() -> None:
    """B, D, F and A flat are one diminished seventh under four names."""
    tune = tune_of("| Dm7 | G7 | C6 | C6 |")
    assert "Bdim7" in [str(step.chord) for step in best(tune, ("rootless dominant",)).added]
    for name in ("Bdim7", "Ddim7", "Fdim7", "Abdim7"):
        demands = Demands(refused=((4, Chord.parse(name)),))  # type: ignore[arg-type]
        found = best(tune, ("rootless dominant",), demands)
        assert not any(step.added for step in found.bars()[1])


@pytest.mark.parametrize("name", ["backdoor ii–V", "chromatic ii–V"])
def test_each_chord_of_an_idiom_over_several_slots_can_be_refused(name: str) -> None:
    """Chords of a row stand or fall together; whatever comes instead, the one refused is gone."""
    tune = tune_of("| C6 | A7 | Dm7 | G7 | C6 |")
    (way,) = reharmonise(tune, UKULELE, (name,), 1, wishes=Wishes(density="full"))
    assert len({step.bar for step in way.added}) == 2
    for step in way.added:
        beat = float(step.onset - 4 * step.bar + 1)
        mended = refused_at(way, f"{step.bar + 1}@{beat:g}")
        assert not mended.added and mended.asked.demands is not None
        assert (step.onset, step.chord) not in [(each.onset, each.chord) for each in mended.steps]
    with pytest.raises(HarmonyError, match="nothing is added there") as none:
        refused_at(way, "1")
    # Where an added chord can be refused is told, by the bars.
    assert none.value.mend.split(" or ") == [*dict.fromkeys(f"{s.bar + 1}" for s in way.added)]


def test_the_line_of_a_tune_is_laid_once_however_many_places_are_found_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (way,) = reharmonise(read_tune(find_data("tunes", "heron_landing")), "ukulele", k=1)
    laid: list[int] = []

    def line(tune: Tune, *given: object, **asked: object) -> styles.Line:
        laid.append(1)
        return line_of(tune, *given, **asked)  # type: ignore[arg-type]

    line_of = styles.line_of
    monkeypatch.setattr("harmonykit.arrange.asked.line_of", line)
    revise(way, Demands(locked=frozenset((1, 12, 22))))
    assert len(laid) == 1
