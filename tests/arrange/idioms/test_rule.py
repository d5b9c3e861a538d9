"""An idiom is a move by name."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_tunes import tune_of

from harmonykit.arrange.idioms.reading import read_idioms
from harmonykit.arrange.idioms.rule import idiom_moves
from harmonykit.arrange.moves import MOVES, move_named
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import HarmonyError
from harmonykit.words.former import plain


def test_it_is_asked_for_as_other_moves_are() -> None:
    assert move_named("tritone ii-V").name == "tritone ii–V"
    assert move_named("Delayed tonic") is idiom_moves()["delayed tonic"]
    assert not set(map(plain, MOVES)) & set(idiom_moves())
    with pytest.raises(HarmonyError) as caught:
        move_named("delayed tonnic")
    assert "'delayed tonic'" in caught.value.mend


def test_one_that_fits_a_slot_is_played_with_its_reason() -> None:
    """Open Music Theory, "Embellishing Chords": the ii of a dominant."""
    name = "ii before a dominant"
    (best,) = reharmonise(tune_of("| G7 | C6 |"), "ukulele", [name], 1, wishes=Wishes(prefer=name))
    assert [str(step.chord) for step in best.steps][:2] == ["Dm7", "G7"]
    assert best.added[0].move == name
    assert best.added[0].reason.startswith("Dm7 is the ii of G7: its C is held or falls to B")


def test_one_of_a_users_own_file_is_a_move_as_it_was_read(tmp_path: Path) -> None:
    path = tmp_path / "idioms.toml"
    path.write_text(
        '[[idiom]]\nname = "quay cadence"\nmeans = "Two chords."\nbefore = "V7 I"\n'
        'after = ["IV V7", "I"]\nreason = "{1} goes before {2}"\n'
        '[[idiom]]\nname = "found"\nmeans = "A row."\nstands = "IV I"\n',
        encoding="utf-8",
    )
    own, found = read_idioms(path).values()
    moves: list[str] = [own]  # type: ignore[list-item]
    ways = reharmonise(tune_of("| G7 | C6 |"), "ukulele", moves, 6)
    assert any(step.move == "quay cadence" for way in ways for step in way.added)
    with pytest.raises(HarmonyError, match="found in tunes"):
        move_named(found)
