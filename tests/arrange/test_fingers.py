"""Fingers of an arrangement: what any teacher shows, the same in a phrase that comes again."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from small_arrangements import Arranged

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.fingers import Sounds, fingers_of
from harmonykit.fretboard.hands.hand import Limits
from harmonykit.fretboard.shapes.voicing import Voicing

LONG = Fraction(4)


def row(text: str, neck: str = "ukulele") -> list[Sounds]:
    """Return one bar for each shape; a dash is silence."""
    shapes = [None if frets == "-" else Voicing.parse(frets, neck) for frets in text.split()]
    return [((shape, Fraction(0), LONG),) for shape in shapes]


def pressing(text: str, neck: str = "ukulele", written: str = "") -> list[str]:
    """Return the fingers of each shape, in the order of its strings."""
    bars = row(text, neck)
    found = fingers_of(bars, written or range(len(bars)), Limits())
    return ["".join(str(f) for f in held.fingers if f) if held else "-" for held, _ in found]


@pytest.mark.parametrize(
    ("neck", "shapes", "fingers"),
    [
        # C with the ring finger, Am with the middle finger, which stays as the index makes an F.
        ("ukulele", "0003 2000 2010 0003", ["3", "2", "21", "3"]),
        # Index and middle stay from C to Am.
        ("guitar", "x32010 x02210", ["321", "231"]),
        # From D to A the index stays and the ring finger is the guide; so it stands behind the
        # middle finger.
        ("guitar", "xx0232 x02220", ["132", "213"]),
        # From E to Am the three fingers go over together.
        ("guitar", "022100 x02210", ["231", "231"]),
    ],
)
def test_fingers_that_any_teacher_shows(neck: str, shapes: str, fingers: list[str]) -> None:
    """Common practice, no source."""
    assert pressing(shapes, neck) == fingers


def test_what_the_guide_finger_does_is_said() -> None:
    """D to A on the guitar: by the frets, the G string keeps its fret, the B string goes down."""
    (_, first), (_, change) = fingers_of(row("xx0232 x02220", "guitar"), (0, 1), Limits())
    assert first is None and change is not None
    assert change.words == "1 stays; 3 slides from fret 3 to 2; 2 crosses to fret 2, D string"
    assert change.kept == (3,) and change.slid == ((4, 3),)


@pytest.mark.parametrize(
    ("shapes", "written"),
    [
        # The first two bars are played again under a repeat sign.
        ("2220 2100 2010 2220 2100 0232", "abcabd"),
        # The phrase stands written out again, and is made the same by what is around it.
        ("0003 2220 2100 2010 0003 2220 2100 2010", "abcdefgh"),
    ],
)
def test_a_phrase_that_comes_again_has_its_fingers(shapes: str, written: str) -> None:
    first = shapes.split()
    found = pressing(shapes, written=written)
    again = [(a, b) for a in range(len(first)) for b in range(a) if written[a] == written[b]]
    around = ["", *first, ""]
    again += [
        (a, b)
        for a in range(len(first))
        for b in range(a)
        if around[a : a + 3] == around[b : b + 3]
    ]
    assert again and all(found[a] == found[b] for a, b in again)


def test_silence_ends_a_row() -> None:
    found = fingers_of(row("0003 - 2010"), "abc", Limits())
    assert [held is None for held, _ in found] == [False, True, False]
    assert [change for _, change in found] == [None, None, None]


def test_a_shape_past_the_limits_is_held_as_a_wide_hand_holds_it() -> None:
    """Two fingers, four frets apart: index and little finger (common practice, no source)."""
    (held, _), (after, _) = fingers_of(row("1005 0003"), "ab", Limits(stretch_mm=60, reach_mm=60))
    assert held is not None and held.fingers == (1, 0, 0, 4)
    assert after is not None


def test_nothing_has_no_fingers() -> None:
    assert fingers_of([], (), Limits()) == ()
    assert pressing("- -") == ["-", "-"]


@pytest.fixture
def way(arranged: Arranged) -> Arrangement:
    return arranged(
        "D=xx0232 A:2=x02220 | NC E:2=022100 | Am=x02210 C:2=x32010", instrument="guitar"
    )


def test_each_change_leads_from_fingers_to_fingers(way: Arrangement) -> None:
    held = list(zip(way.steps, way.fingerings, way.changes, strict=True))
    assert len(held) == 6 and held[0][2] is None
    for (before, first, _), (after, second, change) in pairwise(held):
        if before.voicing is None or after.voicing is None:
            assert change is None
            continue
        assert change is not None and first is not None and second is not None
        assert (change.before, change.after) == (first, second)
        # By definition: a string that keeps its fret and its finger stays.
        frets = zip(before.voicing.frets, after.voicing.frets, strict=True)
        fingers = zip(first.fingers, second.fingers, strict=True)
        both = zip(frets, fingers, strict=True)
        stays = [s for s, ((x, y), (f, g)) in enumerate(both) if x == y and f and f == g]
        assert list(change.kept) == stays


def test_more_stays_down_than_where_each_shape_is_held_alone(arranged: Arranged) -> None:
    """Fingers that stay, counted by definition over a row that any player knows: C Am F C, D A."""
    kept = alone = 0
    for neck, bars in (
        ("ukulele", "C=0003 | Am=2000 | F=2010 | C=0003"),
        ("guitar", "D=xx0232 | A=x02220 | D=xx0232"),
        ("guitar", "C=x32010 | Am=x02210 | C=x32010"),
    ):
        level = arranged(bars, instrument=neck)
        shapes = [step.voicing for step in level.steps if step.voicing]
        chosen = [held.fingers for held in level.fingerings if held]
        kept += sum(map(_stay, pairwise(zip(shapes, chosen, strict=True))))
        single = [shape.fingers or () for shape in shapes]
        alone += sum(map(_stay, pairwise(zip(shapes, single, strict=True))))
    # C to Am and back: two strings each; Am to F: one; D to A and back: one each.
    assert kept == 7 > alone


def _stay(pair: tuple[tuple[Voicing, tuple[int | None, ...]], ...]) -> int:
    (a, first), (b, second) = pair
    both = zip(a.frets, b.frets, first, second, strict=True)
    return sum(bool(f) and f == g and x == y for x, y, f, g in both)
