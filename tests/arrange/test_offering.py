"""What is offered: named arrangements that differ in kind, steps of density, alternatives.

Common practice, no source; the tunes are invented.
"""

from __future__ import annotations

import pytest
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.offering import OFFERS, densities, moves_of, offers
from harmonykit.arrange.places import alternatives
from harmonykit.arrange.revising import chosen_at
from harmonykit.arrange.search import reharmonise
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.tune import Tune

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
TURNS = "| C6 | Am7 | Dm7 | G7 | C6 | C7 | F6 | Fm6 | C6 | A7 | Dm7 | G7 | C6 | Am7 | Dm7 G7 | C6 |"


def turns() -> Tune:
    return tune_of(TURNS)


def heard(way: Arrangement) -> list[list[tuple[object, ...]]]:
    return [[(s.onset, s.chord, s.voicing) for s in bar] for bar in way.bars()]


@pytest.mark.parametrize("instrument", [UKULELE, GUITAR], ids=["ukulele", "guitar"])
def test_offers_differ_in_a_quarter_of_the_bars(instrument: Instrument) -> None:
    found = offers(turns(), instrument)
    names = [offer.name for offer in found]
    assert names == [name for name in OFFERS if name in names] and names[0] == "plain"
    assert len(found) >= 4
    for place, one in enumerate(found):
        for other in found[:place]:
            pairs = zip(heard(one.arrangement), heard(other.arrangement), strict=True)
            assert 4 * sum(a != b for a, b in pairs) >= 16


def test_plain_adds_nothing_and_the_others_say_what_they_do() -> None:
    found = {offer.name: offer for offer in offers(turns(), UKULELE)}
    assert not found["plain"].arrangement.added
    assert found["walking"].arrangement.added and found["rich"].arrangement.added
    assert all(offer.about.endswith(".") for offer in found.values())
    for step in found["two strings"].arrangement.sounding:
        assert step.voicing is not None and len(step.voicing.sounding) == 2


def test_where_nothing_fits_nothing_is_shown_to_fill_a_place() -> None:
    """A drone has neither walks nor substitutions."""
    found = offers(tune_of("| C | C | C | C |"), UKULELE)
    assert {offer.name for offer in found} <= {"plain", "two strings"}


def test_an_offer_that_is_not_known_is_said() -> None:
    with pytest.raises(HarmonyError, match="is not a known offer"):
        offers(turns(), UKULELE, ["grand"])


def test_the_rich_may_use_idioms() -> None:
    assert {"delayed tonic", "ii before a dominant", "ascending walk"} <= set(moves_of("rich"))
    assert "suspension" not in moves_of("rich")


@pytest.mark.parametrize("style", ["walking", "rich"])
def test_each_step_of_density_holds_the_one_before(style: str) -> None:
    (best,) = reharmonise(turns(), UKULELE, moves_of(style), 1, style=style)
    steps = densities(best)
    places = [{(step.onset, step.chord) for step in way.added} for way in steps]
    assert not places[0] and len(steps) > 2
    assert all(fewer < more for fewer, more in zip(places, places[1:], strict=False))
    assert places[-1] == {(step.onset, step.chord) for step in best.added}


def test_of_two_in_eight_bars_those_toward_the_cadence_stand() -> None:
    (best,) = reharmonise(turns(), UKULELE, moves_of("walking"), 1, style="walking")
    (few,) = densities(best, [2])[:1]
    for first in (0, 8):
        assert len([step for step in few.added if first <= step.bar < first + 8]) <= 2


# Alternatives at a place -----------------------------------------------------------------------


def test_alternatives_keep_all_else_and_come_in_the_order_of_what_they_cost() -> None:
    (way,) = reharmonise(turns(), UKULELE, ("leading-tone diminished",), 1)
    found = alternatives(way, bar=4)
    extras = [each.extra for each in found]
    stands = chosen_at(way, found[0].steps[0].onset)
    assert extras == sorted(extras)
    assert [each.extra for each in found if each.chosen == stands] == [0]
    assert len({each.chords for each in found}) == len(found) > 3
    others = [(s.onset, s.chord) for s in way.steps if s.bar != 3]
    for each in found:
        kept = [(s.onset, s.chord) for s in each.arrangement.steps if s.bar != 3]
        assert kept == others


def test_the_tunes_own_and_the_trades_substitutes_are_among_them() -> None:
    """Before C6 G7 may stand, its tritone substitution, its rootless ninth flat, a backdoor."""
    (way,) = reharmonise(turns(), UKULELE, (), 1)
    said = {each.chords for each in alternatives(way, bar=4, most=20)}
    assert {"G7", "D♭7", "B♭7"} <= said and any("B°7" in each for each in said)
    written = next(each for each in alternatives(way, bar=4) if each.chords == "G7")
    assert written.reason == "" and written.often == ""


def test_the_second_chord_of_a_bar_is_asked_for_by_number() -> None:
    (way,) = reharmonise(turns(), UKULELE, (), 1)
    assert "G7" in [each.chords for each in alternatives(way, bar=15, chord=2)]
    with pytest.raises(HarmonyError, match="bar 15 has no chord 3"):
        alternatives(way, bar=15, chord=3)
    with pytest.raises(HarmonyError, match="bar 17 is not in"):
        alternatives(way, bar=17)
