"""Arrangements of three of the tunes that ship, for the tests of what is drawn of them."""

from __future__ import annotations

from functools import lru_cache

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.gains_and_costs import Tradeoff, tradeoffs
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes

TUNES = ("heron_landing", "ropewalk_blues", "slack_water_waltz")


@lru_cache(maxsize=16)
def ways_of(tune: str, instrument: str = "ukulele") -> tuple[Arrangement, ...]:
    """Return a tune as written, walking and rich."""
    plain = reharmonise(tune, instrument, (), k=1, wishes=Wishes(name="as written"))
    styled = [
        reharmonise(tune, instrument, moves_of(style), k=1, style=style, wishes=Wishes(name=style))[
            0
        ]
        for style in ("walking", "rich")
    ]
    return (*plain, *styled)


@lru_cache(maxsize=4)
def weighed(tune: str) -> tuple[Tradeoff, ...]:
    """Return what is offered of a tune at each density."""
    return tradeoffs(tune, "ukulele")
