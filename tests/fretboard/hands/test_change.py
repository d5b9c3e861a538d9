"""A change of shape: what each finger does, on changes that any teacher knows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.fretboard.hands.change import FingerMove, change, changes
from harmonykit.fretboard.hands.hand import Hold
from harmonykit.fretboard.hands.travel import travel_mm
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")


def shape(digits: str) -> Voicing:
    return Voicing.parse(digits, UKULELE if 4 in (len(digits), len(digits.split("-"))) else GUITAR)


# Common practice, no source: what stays, slides, crosses, lifts and lands.
@pytest.mark.parametrize(
    ("before", "after", "done"),
    [
        ("x32010", "x02210", {1: "stays", 2: "stays", 3: "crosses"}),
        ("022100", "x02210", {1: "crosses", 2: "crosses", 3: "crosses"}),
        ("2000", "2010", {1: "lands", 2: "stays"}),
        ("2010", "2000", {1: "lifts", 2: "stays"}),
        ("2323", "3434", {1: "slides", 2: "slides", 3: "slides", 4: "slides"}),
        ("0232", "0432", {1: "lifts", 2: "stays", 3: "stays", 4: "lands"}),
        ("2010", "3211", {1: "rolls", 2: "crosses", 3: "lands"}),
        ("0000", "0003", {3: "lands"}),
        ("133211", "355433", {1: "slides", 2: "slides", 3: "slides", 4: "slides"}),
        ("2220", "2220", {1: "stays", 2: "stays", 3: "stays"}),
    ],
)
def test_what_each_finger_does(before: str, after: str, done: dict[int, str]) -> None:
    found = change(shape(before), shape(after))
    assert {move.finger: move.what for move in found.moves} == done


def test_each_way_is_measured() -> None:
    finger = UKULELE.finger_mm
    found = change(shape("2323"), shape("3434"))
    assert found.moves[0] == FingerMove(
        1, "slides", Hold(2, 0, 0), Hold(3, 0, 0), finger(3) - finger(2)
    )
    assert found.strings == (0, 1, 2, 3)
    assert found.mm == travel_mm(shape("2323"), shape("3434"))
    # E to Am: each of three fingers crosses one string, 9 mm, and the fourth rides along: 27 / 4.
    crossing = change(shape("022100"), shape("x02210"))
    assert [move.mm for move in crossing.moves] == [9.0, 9.0, 9.0]
    assert crossing.mm == 27 / 4


def test_a_change_reads_as_a_sentence() -> None:
    assert str(change(shape("x32010"), shape("x02210"))) == (
        "1 and 2 stay; 3 crosses to fret 2, G string; 9 mm"
    )
    assert str(change(shape("2010"), shape("2000"))) == "2 stays; 1 lifts; 0 mm"
    assert str(change(shape("0000"), shape("0000"))) == "no finger presses; 0 mm"
    # E to Am: the high E string is open in both.
    assert str(change(shape("022100"), shape("x02210"))).startswith(
        "the open high E string stays; 1 crosses to fret 1, B string; 2 crosses to fret 2, D string"
    )
    assert change(shape("0003"), shape("0212")).lines == (
        ("stays", "the open g string"),
        ("slides", "3 from fret 3 to 2"),
        ("land", "1 at fret 1, E string; 2 at fret 2, C string"),
    )


def test_a_barre_slides_along_the_strings_that_it_held() -> None:
    """F to a flat finger at fret 3: on D and G other fingers stood nearer to the bridge."""
    found = change(shape("133211"), shape("xx3333"))
    assert found.before.fingers == (1, 3, 4, 2, 1, 1)
    assert found.slid == ((4, 1), (5, 1))


SHAPES = [shape(digits) for digits in "0003 2010 0212 2000 0232 2220 0000 2323 3211".split()]


@given(st.lists(st.sampled_from(SHAPES), min_size=1, max_size=5), st.booleans())
def test_every_finger_that_presses_is_told_once(progression: list[Voicing], loop: bool) -> None:
    found = changes(progression, loop=loop)
    ends = [*progression[1:], *([progression[0]] if loop else [])]
    assert len(found) == len(ends)
    for (a, b), one in zip(zip(progression, ends, strict=False), found, strict=True):
        before = {f for f in one.before.fingers if f}
        after = {f for f in one.after.fingers if f}
        assert [move.finger for move in one.moves] == sorted(before | after)
        assert set(one.fingers("lifts")) == before - after
        assert set(one.fingers("lands")) == after - before
        assert one.strings == tuple(
            s for s, (x, y) in enumerate(zip(a.frets, b.frets, strict=True)) if x != y
        )
        for move in one.moves:
            assert move.mm == 0 or move.what in ("rolls", "slides", "crosses")
            assert move.mm > 0 or move.what in ("rolls", "stays", "lifts", "lands")
    for one, following in zip(found, found[1:], strict=False):
        assert one.after == following.before
