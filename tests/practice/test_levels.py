"""Every level asks what the lower ones did not, and each item can be asked for by its name."""

from __future__ import annotations

from dataclasses import replace

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.practice.kinds import KINDS, ask
from harmonykit.practice.question import LEVELS, RIGHT, Question, Spec, read_item
from harmonykit.practice.theme import EVERYTHING, Theme

# So little that a level must differ by what it asks, and cannot do so by its chords.
NARROW = Theme(
    diminished=("Bdim7",),
    chords=("G7", "Am7"),
    pairs=("C6>G7", "Dm7>G7"),
    scales=("C major",),
    ideas=("Bdim7>lower one note>7",),
)
SEEDS = 24
WAYS = [(kind.name, medium) for kind in KINDS.values() for medium in kind.media]


def face(asked: Question) -> tuple[object, ...]:
    """Return all that one sees and hears of a question."""
    seen = asked.seen
    return asked.text, seen.heading, seen.notes, seen.shape, seen.ways, asked.sounds


@pytest.mark.parametrize(("kind", "medium"), WAYS)
def test_every_level_asks_what_the_lower_ones_did_not(kind: str, medium: str) -> None:
    # The distance of two chords stays what it is: there a level has other chords.
    theme = EVERYTHING if kind == "distance" else NARROW
    known: set[tuple[object, ...]] = set()
    for level in range(1, LEVELS + 1):
        faces = {face(ask(Spec("pile", n, kind, medium, level), theme)) for n in range(SEEDS)}
        assert 2 * len(faces - known) >= len(faces), level
        known |= faces


@pytest.mark.parametrize("kind", KINDS)
def test_what_a_level_can_ask_about_is_asked_for_by_its_name(kind: str) -> None:
    for level in range(1, LEVELS + 1):
        pool = KINDS[kind].pool(EVERYTHING, level)
        assert len(set(pool)) == len(pool) >= 3
        found = 0
        for about in pool[:: max(1, len(pool) // 6)]:
            for medium in KINDS[kind].media:
                spec = Spec("pile", level, kind, medium, level)
                try:
                    asked = ask(spec, replace(EVERYTHING, about=about))
                except HarmonyError:  # an instrument has not all shapes
                    continue
                found += 1
                assert read_item(asked.item) == (kind, about, medium)
                assert asked.judge(asked.answer).score == RIGHT
        assert found >= 3
    with pytest.raises(HarmonyError):
        ask(Spec("pile", 1, kind, KINDS[kind].media[0], 1), replace(EVERYTHING, about="H9"))
