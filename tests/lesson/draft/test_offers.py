"""Where a tune has places for a move: tempi by hand, places as the search finds them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_tunes import tune_of

from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.draft.offers import offer_of, offers, tempo_at

UKULELE = Instrument.named("ukulele")
TUNE = tune_of("| C6 | A7 | Dm7 | G7 | C6 | A7 | Dm7 G7 | C6 |", tempo=100)
MOVES = ("leading-tone diminished", "tritone substitution", "descending passing diminished")


@pytest.mark.parametrize(("hand", "tempo"), [(1, 60), (2, 70), (3, 85)])
def test_a_harder_level_is_nearer_to_the_tunes_tempo(hand: int, tempo: int) -> None:
    """Of tempo 100 they are 60, 70 and 85: practice goes from slow to fast, never past it."""
    assert tempo_at(TUNE, hand) == tempo
    assert tempo_at(replace(TUNE, tempo=50), hand) == max(40, round(tempo / 2))
    assert tempo_at(replace(TUNE, tempo=40), hand) == 40
    # Rounded to whole quarter notes a minute.
    assert tempo_at(replace(TUNE, tempo=111), 2) == 78


def test_offers_go_from_few_places_to_many_and_from_early_to_late() -> None:
    found = offers(TUNE, UKULELE, MOVES)
    assert found
    order = [(len(offer.bars), offer.bars) for offer in found]
    assert order == sorted(order)
    for offer in found:
        assert offer.bars == tuple(sorted(set(offer.bars)))
        assert {step.bar for step in offer.added} == set(offer.bars)
        assert all(step.added and step.move in offer.moves for step in offer.added)
        assert offer.hand in (2, 3)


def test_what_finds_no_place_is_not_offered() -> None:
    still = tune_of("| C6 | C6 |")
    assert offers(still, UKULELE, ["tritone substitution"]) == ()
    assert offer_of(still, UKULELE, ("tritone substitution",)) is None


def test_a_wider_reach_is_taken_only_where_a_usual_one_finds_nothing() -> None:
    for move in MOVES:
        usual, wide = (offer_of(TUNE, UKULELE, (move,), least) for least in (2, 3))
        if usual is not None and usual.hand == 2:
            assert wide is None or wide.hand == 3
        elif usual is not None:
            assert usual == wide
