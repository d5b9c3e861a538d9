"""The groups that statements are about: how many there are, what they are called, which they are.

There are 12 dominant sevenths, three diminished sevenths and four augmented triads, by symmetry.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.errors import HarmonyError
from harmonykit.lesson.statements.groups import TOLD, Around, Group, group_of

Arranged = Callable[..., Arrangement]


@pytest.fixture
def told(arranged: Arranged) -> Callable[[str], Group]:
    """Return a function that tells a group of a chart of four bars."""
    way = arranged("C=0003 C:2=0003 | F=2010 | NC | G7=0212 C:3=0003", key="C")
    around = Around(way.instrument, way.tune, lambda _: way)
    return lambda text: group_of(text, around)


@pytest.mark.parametrize(
    ("kind", "count"),
    [("dominant seventh", 12), ("diminished seventh", 3), ("augmented triad", 4),
     ("half-diminished seventh", 12), ("diminished triad", 12)],
)  # fmt: skip
def test_chords_of_a_kind_are_as_many_as_sound_differently(
    told: Callable[[str], Group], kind: str, count: int
) -> None:
    group = told(kind)
    assert (group.one, len(group.members), group.sort) == (kind, count, "chord")
    assert group.many == f"{kind}s" and group.found == "tried on all twelve roots"
    assert len({one.thing.pcs.mask for one in group.members}) == count
    assert len({one.name for one in group.members}) == count


def test_notes_and_chords_are_told_one_by_one(told: Callable[[str], Group]) -> None:
    notes = told("notes  of Bdim7")
    assert [one.name for one in notes.members] == ["B", "D", "F", "A♭"]
    assert (notes.one, notes.many, notes.sort) == ("note of B°7", "notes of B°7", "note")
    assert all(one.thing.chord.symbol == "Bdim7" for one in notes.members)
    chords = told("chords D7 F7 Ab7 B7")
    assert [one.name for one in chords.members] == ["D7", "F7", "A♭7", "B7"]
    assert chords.many == "chords D7, F7, A♭7 and B7" and chords.found == "one by one"
    tune = told("chords of the tune")
    assert [one.name for one in tune.members] == ["C", "F", "G7"]
    assert tune.one == "chord of Ebb at the Weir"


def test_strings_are_those_that_are_named_or_sound(told: Callable[[str], Group]) -> None:
    """A ukulele has g, C, E and A."""
    for text, strings in (
        ("strings of 2213", ["g", "C", "E", "A"]), ("strings of 2x13", ["g", "E", "A"]),
        ("strings g C of 2213", ["g", "C"]), ("strings A of 2213", ["A"]),
    ):  # fmt: skip
        group = told(text)
        assert [one.name for one in group.members] == [f"string {each}" for each in strings]
        assert ["gCEA"[one.thing.string] for one in group.members] == strings
        assert group.sort == "string" and group.many.endswith("of 2-x-1-3" if "x" in text
                                                             else "of 2-2-1-3")  # fmt: skip
    assert told("strings g C of 2213").many == "strings g and C of 2-2-1-3"
    assert told("strings g C of 2213").one == "one of the strings g and C of 2-2-1-3"
    assert told("strings of 2213").one == "string of 2-2-1-3"
    assert told("strings of 2213").found == "string by string, four of them"
    with pytest.raises(HarmonyError, match="the ukulele has no string D") as caught:
        told("strings g D of 2213")
    assert caught.value.rule == "its strings are g, C, E and A"
    assert caught.value.mend == '"strings g C of 2-2-1-3"'


def test_fingers_are_those_that_hold_a_shape(told: Callable[[str], Group]) -> None:
    fingers = told("fingers from 0003 to 2010")
    assert fingers.sort == "finger" and fingers.many == "fingers from 0-0-0-3 to 2-0-1-0"
    # One finger holds C, two hold F.
    assert 2 <= len(fingers.members) <= 3
    assert all(one.name == f"finger {one.thing.finger}" for one in fingers.members)


def test_a_level_has_chords_shapes_and_changes_as_it_is_played(
    told: Callable[[str], Group],
) -> None:
    """C, which is held on, F, silence, G7 and C: four chords, three shapes."""
    chords = told("chords of level 1")
    assert [one.name for one in chords.members] == [
        "C in bar 1", "F in bar 2", "G7 in bar 4", "C in bar 4",
    ]  # fmt: skip
    assert [one.thing.sung for one in chords.members] == [None] * 4
    assert chords.members[-1].thing.after is None or chords.members[-1].thing.after.bar == 0
    assert (chords.one, chords.many) == ("chord at level 1", "chords at level 1")
    shapes = told("shapes of level 1")
    assert sorted(one.name for one in shapes.members) == ["0-0-0-3", "0-2-1-2", "2-0-1-0"]
    changes = told("changes of level 1")
    assert "0-0-0-3 to 2-0-1-0" in [one.name for one in changes.members]
    assert all(one.thing.before != one.thing.shape for one in changes.members)
    assert changes.one == "change of shape at level 1"
    fingers = told("fingers of level 1")
    assert {one.name.partition(" to ")[2] for one in fingers.members} <= {
        "2-0-1-0", "0-2-1-2", "0-0-0-3",
    }  # fmt: skip
    with pytest.raises(HarmonyError, match="added chords at level 1 are missing"):
        told("added chords of level 1")


@pytest.mark.parametrize("words", ["cats", "notes of C major", "chords of level x", "level 1"])
def test_what_is_no_group_is_told_what_would_be(told: Callable[[str], Group], words: str) -> None:
    with pytest.raises(HarmonyError) as caught:
        told(words)
    if "is not a group" in caught.value.what:
        assert all(f'"{each}"' in caught.value.mend for each in TOLD)


def test_chords_that_are_none_are_no_group(told: Callable[[str], Group]) -> None:
    with pytest.raises(HarmonyError):
        told("chords")
    with pytest.raises(HarmonyError, match="Hm7"):
        told("chords C Hm7")
