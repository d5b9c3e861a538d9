"""Fingerings inside a progression: against every way through it, and what any teacher shows."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.fingering import Fingering, Hold, awkwardness
from harmonykit.fretboard.hands.holding import ways_to_finger
from harmonykit.fretboard.hands.limits import Limits, limits_at
from harmonykit.fretboard.hands.progression import AWKWARD_MM, PLACE_MM, fingerings
from harmonykit.fretboard.hands.travel import stance, way_mm
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
WIDE = Limits(max_fret=UKULELE.frets)


def shapes(text: str, instrument: Instrument = UKULELE) -> list[Voicing]:
    return [Voicing.parse(digits, instrument) for digits in text.split()]


def cost(
    held: Sequence[Voicing], fingers: Sequence[Fingering], loop: bool, prices: tuple[float, float]
) -> float:
    """Price one way through a progression, by its definition."""
    points = sum(least_points(v, way) for v, way in zip(held, fingers, strict=True))
    path = list(zip(held, fingers, strict=True))
    if loop:
        path.append(path[0])
    total = prices[0] * points
    for (a, old), (b, new) in pairwise(path):
        total += way_mm(stance(a.frets, old, UKULELE), stance(b.frets, new, UKULELE))
        for finger in set(new.fingers) - {0, None}:
            under = strings_under(finger, old), strings_under(finger, new)
            total += 0 if set.intersection(*under) else prices[1]
    return total


def least_points(voicing: Voicing, held: Fingering) -> int:
    pressed = [
        (finger, Hold(fret, min(under), max(under)))
        for finger in (1, 2, 3, 4)
        if (under := strings_under(finger, held))
        and (fret := voicing.frets[held.fingers.index(finger)])
    ]
    if not pressed:
        return 0
    fingers, holds = zip(*pressed, strict=True)
    return min(awkwardness(holds, fingers, at) for at in range(1, holds[0].fret + 1))


def strings_under(finger: int | None, held: Fingering) -> set[int]:
    flat = [set(range(b.first, b.last + 1)) for b in held.barres if b.finger == finger]
    return flat[0] if flat else {s for s, on in enumerate(held.fingers) if on == finger}


SHAPES = "0003 2010 0212 2000 0232 2220 0000 2323 3211 5757 0002 4442".split()


@given(
    st.lists(st.sampled_from(SHAPES), min_size=1, max_size=4),
    st.booleans(),
    st.sampled_from([(0.0, 0.0), (AWKWARD_MM, PLACE_MM), (50.0, 0.0), (1.0, 20.0)]),
)
def test_no_way_through_a_progression_moves_the_hand_less(
    text: list[str], loop: bool, prices: tuple[float, float]
) -> None:
    held = shapes(" ".join(text))
    found = fingerings(held, None, loop=loop, awkward_mm=prices[0], place_mm=prices[1])
    options = [[way for way, _ in ways_to_finger(v.frets, UKULELE, WIDE)] for v in held]
    least = min(cost(held, ways, loop, prices) for ways in product(*options))
    assert cost(held, found, loop, prices) == pytest.approx(least)


@pytest.mark.parametrize("prices", [(1.0, 5.0), (4.0, 0.0), (10.0, 10.0)])
def test_a_loop_counts_its_first_shape_once(prices: tuple[float, float]) -> None:
    for pair in permutations("0232 2223 0202 3211 0013 4432".split(), 2):
        held = shapes(" ".join(pair))
        options = [[way for way, _ in ways_to_finger(v.frets, UKULELE, WIDE)] for v in held]
        least = min(cost(held, ways, True, prices) for ways in product(*options))
        assert cost(
            held,
            fingerings(held, None, loop=True, awkward_mm=prices[0], place_mm=prices[1]),
            True,
            prices,
        ) == pytest.approx(least)


# What teachers show (common practice, no source): a finger that can stay, stays.
@pytest.mark.parametrize(
    ("text", "instrument", "fingers"),
    [
        # C to Am: index and middle finger stay, the ring finger crosses.
        (
            "x32010 x02210",
            GUITAR,
            [(None, 3, 2, 0, 1, 0), (None, 0, 2, 3, 1, 0)],
        ),
        # E to Am: three fingers move together to the next strings.
        ("022100 x02210", GUITAR, [(0, 2, 3, 1, 0, 0), (None, 0, 2, 3, 1, 0)]),
        # Am to F on a ukulele: the middle finger stays on g, the index lands.
        ("2000 2010", UKULELE, [(2, 0, 0, 0), (2, 0, 1, 0)]),
        # A diminished seventh one fret up: all four slide.
        ("2323 3434", UKULELE, [(1, 3, 2, 4), (1, 3, 2, 4)]),
    ],
)
def test_a_finger_that_can_stay_stays(
    text: str, instrument: Instrument, fingers: list[tuple[int | None, ...]]
) -> None:
    assert [way.fingers for way in fingerings(shapes(text, instrument))] == fingers


def test_a_shape_alone_has_its_best_fingering() -> None:
    for digits in SHAPES:
        (voicing,) = shapes(digits)
        assert fingerings([voicing]) == (voicing.fingering,)
    assert fingerings(()) == ()


def test_the_neighbours_of_a_shape_choose_its_fingers() -> None:
    # The note at fret 7 by itself is for the index; after 5-7-5-7 the little finger is there.
    alone, after = fingerings(shapes("0007")), fingerings(shapes("5757 0007"))
    assert alone[0].fingers == (0, 0, 0, 1)
    assert after[1].fingers == (0, 0, 0, 4)


def test_what_no_hand_holds_is_named() -> None:
    with pytest.raises(HarmonyError, match="1-9-1-9 has no fingering"):
        fingerings(shapes("0003 1919"))
    with pytest.raises(HarmonyError, match="3-2-1-1 has no fingering"):
        fingerings(shapes("0003 3211"), limits_at(1, UKULELE))
    with pytest.raises(HarmonyError, match="different instruments"):
        fingerings([*shapes("0003"), *shapes("x32010", GUITAR)])
