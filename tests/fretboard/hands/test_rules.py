"""The rules of the hand, stated a second time and tried on every finger of every string."""

from __future__ import annotations

import dataclasses
import math
from itertools import pairwise, product

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from harmonykit.fretboard.hands import rules
from harmonykit.fretboard.hands.hand import BARRES, Hold, Limits
from harmonykit.fretboard.hands.holding import assignments, can_hold, wires_of
from harmonykit.fretboard.hands.rules import room_mm
from harmonykit.fretboard.hands.travel import all_ways
from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.strings.instrument import Instrument

WIRES = {
    name: tuple(Instrument.named(name).wire_mm(fret) for fret in range(16))
    for name in ("ukulele", "guitar")
}


def fingers_on_strings(
    frets: Fretting, holds: tuple[Hold, ...], fingers: tuple[int, ...]
) -> Fretting:
    on = dict(enumerate([fret and 0 for fret in frets]))
    for finger, hold in zip(fingers, holds, strict=True):
        for string in range(hold.first, hold.last + 1):
            if frets[string] == hold.fret:
                on[string] = finger
    return tuple(on.values())


def by_the_rules(frets: Fretting, wires: tuple[float, ...], limits: Limits) -> set[Fretting]:
    """Put every finger on every fretted string, and keep what the rules allow."""
    fretted = [string for string, fret in enumerate(frets) if fret]
    allowed = set()
    for fingers in product((1, 2, 3, 4), repeat=len(fretted)):
        on = dict(zip(fretted, fingers, strict=True))
        if _allowed(frets, on, wires, limits):
            allowed.add(tuple(on.get(s, fret and 0) for s, fret in enumerate(frets)))
    return allowed


def _allowed(frets: Fretting, on: dict[int, int], wires: tuple[float, ...], limits: Limits) -> bool:
    under = {finger: [s for s in on if on[s] == finger] for finger in sorted(set(on.values()))}
    at = {finger: {frets[s] or 0 for s in strings} for finger, strings in under.items()}
    if any(len(one) > 1 for one in at.values()):
        return False  # a finger is in one fret
    fret = {finger: min(one) for finger, one in at.items()}
    low, high = min(fret.values()), max(fret.values())
    if high > limits.max_fret or wires[high] - wires[low] > limits.stretch_mm:
        return False
    placed = [(fret[finger], under[finger][0]) for finger in under]
    if placed != sorted(placed):
        return False  # fingers rise with the frets, then with the strings
    if any(list(fret.values()).count(one) > 3 for one in fret.values()):
        return False
    if _tips_crowd(under, fret, wires, limits.tip_mm):
        return False
    if _too_far_apart(fret, wires, max(limits.reach_mm, limits.stretch_mm)):
        return False
    if {1, 2, 4} <= under.keys() and fret[1] == fret[2] < fret[4]:
        if under[2][0] == under[1][-1] + 1 and under[4][0] < under[1][0]:
            return False
    return _flat_fingers_lie_well(frets, under, fret, limits)


def _too_far_apart(fret: dict[int, int], wires: tuple[float, ...], reach_mm: float) -> bool:
    # Shares of the reach from index to little finger (common practice, no source).
    shares = {(1, 2): 0.76, (1, 3): 0.88, (1, 4): 1, (2, 3): 0.55, (2, 4): 0.78, (3, 4): 0.61}
    return any(
        wires[fret[other]] - wires[fret[one]] > share * reach_mm
        for (one, other), share in shares.items()
        if one in fret and other in fret
    )


def _tips_crowd(
    under: dict[int, list[int]], fret: dict[int, int], wires: tuple[float, ...], tip_mm: float
) -> bool:
    for one in set(fret.values()):
        beside = sorted((under[finger] for finger in under if fret[finger] == one), key=min)
        length = 0.0
        for near, far in pairwise(beside):
            across = 9 * (far[0] - near[-1])
            length += math.sqrt(max(0, tip_mm**2 - across**2))
        if length > wires[one] - wires[one - 1]:
            return True
    return False


def _flat_fingers_lie_well(
    frets: Fretting, under: dict[int, list[int]], fret: dict[int, int], limits: Limits
) -> bool:
    flat = [finger for finger, strings in under.items() if len(strings) > 1]
    widest = {"none": 0, "half": (len(frets) + 1) // 2, "full": len(frets)}[limits.barre]
    return all(
        under[finger][-1] - under[finger][0] + 1 <= widest
        and (
            _is_barre(frets, finger, under[finger], fret)
            or _is_laid_flat(frets, finger, under, fret)
            or (flat == [3] and _lies_below_the_little_finger(frets, under, fret))
        )
        for finger in flat
    )


def _is_barre(frets: Fretting, finger: int, strings: list[int], fret: dict[int, int]) -> bool:
    low = min(fret.values())
    whole = [s for s, f in enumerate(frets) if f == low] == strings
    under, past = frets[strings[0] : strings[-1]], frets[strings[-1] + 1 :]
    wide = strings[-1] - strings[0] > 2
    lies = None not in under and 0 not in under and not (wide and 0 in past)
    alone = max(fret.values()) == low and not wide
    return (finger == 1 or alone) and whole and lies and (finger != 4 or set(past) <= {None})


def _is_laid_flat(
    frets: Fretting, finger: int, under: dict[int, list[int]], fret: dict[int, int]
) -> bool:
    strings, high = under[finger], max(fret.values())
    if finger != max(under) or fret[finger] != high or not 2 <= len(strings) <= 3:
        return False
    row = list(range(strings[0], strings[-1] + 1)) == strings
    begins = strings[0] == 0 or frets[strings[0] - 1] != high
    past = frets[strings[-1] + 1 :]
    return row and begins and 0 not in past and (finger != 4 or set(past) <= {None})


def _lies_below_the_little_finger(
    frets: Fretting, under: dict[int, list[int]], fret: dict[int, int]
) -> bool:
    row = under[3]
    if 4 not in under or not 2 <= len(row) <= 3 or sum(map(bool, frets)) < 5:
        return False
    neighbours = list(range(row[0], row[-1] + 1)) == row and frets[row[0] - 1] != fret[3]
    past = [s for s in range(row[-1] + 1, len(frets)) if frets[s] is not None]
    lowest = min(fret.values())
    return neighbours and past == under[4] and lowest < fret[3] < fret[4]


OFFSETS = st.sampled_from([None, -99, 0, 0, 1, 1, 2, 3, 4])


@settings(max_examples=3 * settings().max_examples)
@example("guitar", 2, [None, 1, 0, 1, 1, 3], Limits())
@example("guitar", 2, [None, 1, 0, 1, 1, 3], Limits(barre="none"))
@example("guitar", 1, [None, 0, 2, 2, 2, 3], Limits())
@example("guitar", 3, [2, 0, 2, 1, 1, None], Limits())
@example("guitar", 3, [0, 1, 1, 1, 2, -99], Limits())
@example("guitar", 3, [0, 1, None, 1, 1, 2], Limits())
@example("guitar", 7, [0, 1, 1, 1, 1, 2], Limits())
@given(
    name=st.sampled_from(["ukulele", "guitar"]),
    lowest=st.integers(1, 9),
    offsets=st.lists(OFFSETS, min_size=6, max_size=6),
    level=st.builds(
        Limits,
        st.integers(4, 15),
        st.sampled_from([53.6, 67.0, 80.0, 98.0]),
        st.sampled_from(BARRES),
        st.sampled_from([0.0, 8.0, 11.0, 15.0]),
        st.sampled_from([78.4, 88.0, 98.0]),
    ),
)
def test_the_assignments_are_those_that_the_rules_allow(
    name: str, lowest: int, offsets: list[int | None], level: Limits
) -> None:
    strings = 4 if name == "ukulele" else 6
    frets = tuple(None if o is None else max(0, lowest + o) for o in offsets[:strings])
    if not any(frets):
        return
    found = {fingers_on_strings(frets, *one) for one in assignments(frets, WIRES[name], level)}
    assert found == by_the_rules(frets, WIRES[name], level)
    assert can_hold(frets, Instrument.named(name), level) == bool(found)


def test_tips_in_one_fret_stand_one_behind_the_other() -> None:
    # 11 mm tips on strings 9 mm apart: the root of 121 - 81, 6.32 mm, and twice that for three.
    wires = (0.0, 20.0, 33.0)
    assert room_mm((Hold(2, 0, 0), Hold(2, 1, 1)), wires, 11) == pytest.approx(
        13 - 6.3246, abs=1e-4
    )
    three = (Hold(2, 0, 0), Hold(2, 1, 1), Hold(2, 2, 2))
    assert room_mm(three, wires, 11) == pytest.approx(13 - 12.6491, abs=1e-4)
    assert room_mm((Hold(2, 0, 0), Hold(2, 2, 2)), wires, 11) == 13
    assert room_mm((Hold(1, 0, 0), Hold(2, 1, 1)), wires, 11) == math.inf


# 11 mm tips want 12.65 mm for three: a soprano's seventh fret has 13.1 mm and its eighth 12.4, a
# concert ukulele's tenth 12.7 and its eleventh 12.0 (fret_positions.tsv).
@pytest.mark.parametrize(("scale_mm", "last"), [(330.2, 7), (381.0, 10)])
def test_three_tips_crowd_high_up_a_short_neck(scale_mm: float, last: int) -> None:
    row = Instrument.parse("G4 C4 E4 A4", scale_mm=scale_mm, frets=15)
    for fret in range(2, 15):
        shape = (fret, fret, fret, fret - 1)
        assert can_hold(shape, row, Limits(15, barre="none")) == (fret <= last)
        assert can_hold(shape, row, Limits(15, barre="none", tip_mm=0))
        assert can_hold(shape, row, Limits(15))  # one finger laid flat needs no such room


def test_a_wire_is_where_the_instrument_has_it() -> None:
    ukulele = Instrument.named("ukulele")
    assert list(wires_of(381.0)[:16]) == [ukulele.wire_mm(fret) for fret in range(16)]


# Of each rule a shape that breaks it: a guitar's, or a ukulele's where four strings are typed.
BROKEN = {
    "top fret": ("xx0232", Limits(max_fret=2)),
    "stretch": ("x32010", Limits(stretch_mm=60)),
    "fingertips in a fret": ("x2222x", Limits(barre="none")),
    "tips around a higher one": ("1211", Limits(barre="none")),
    "crowded fingertips": ("xx999x", Limits(barre="none", tip_mm=16)),
    "wide barre": ("133211", Limits(barre="half")),
    "lying flat": ("1x1111", Limits()),
    "pairs": ("1444xx", Limits(barre="none")),
    "across": ("3211", Limits(barre="none")),
    "thumb": ("5xx123", Limits(thumb=True)),
}
# Shapes that are held by other fingers than those that the rule refuses.
OTHERWISE = {"index barre": "1112", "short little finger": "1331", "flat ring finger": "x78889"}
GROUPS = ("OF_SHAPES", "OF_HOLDS", "OF_FLAT", "OF_FINGERS", "OF_FLAT_FINGERS")


def ways(digits: str, hand: Limits) -> list[object]:
    frets = tuple(None if sign == "x" else int(sign) for sign in digits)
    return list(assignments(frets, wires_of(381.0 if len(frets) == 4 else 647.7), hand))


def drop(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    for group in GROUPS:
        rest = tuple(rule for rule in getattr(rules, group) if rule.name != name)
        monkeypatch.setattr(rules, group, rest)
    if name == "thumb":
        free = dataclasses.replace(rules.OF_THE_THUMB, allows=lambda grip: True)
        monkeypatch.setattr(rules, "OF_THE_THUMB", free)


@pytest.mark.parametrize("name", BROKEN)
def test_each_rule_refuses_what_no_other_does(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    assert ways(*BROKEN[name]) == []
    drop(monkeypatch, name)
    assert ways(*BROKEN[name])


@pytest.mark.parametrize("name", OTHERWISE)
def test_a_rule_of_fingers_leaves_other_fingers(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    held = ways(OTHERWISE[name], Limits())
    drop(monkeypatch, name)
    assert 0 < len(held) < len(ways(OTHERWISE[name], Limits()))


def test_an_a_is_held_by_2_1_and_3_and_a_seventh_beside_it_is_not() -> None:
    """Common practice, no source: the index goes behind where nothing else is pressed."""
    guitar, ukulele = (Instrument.named(name) for name in ("guitar", "ukulele"))
    a = {way.fingering.fingers for way in all_ways((None, 0, 2, 2, 2, 0), guitar, None)}
    assert (None, 0, 2, 1, 3, 0) in a
    d7 = {way.fingering.fingers for way in all_ways((2, 2, 2, 3), ukulele, None)}
    assert (1, 2, 3, 4) in d7
    assert all(way[:3] == tuple(sorted(way[:3])) for way in d7)


@pytest.mark.parametrize("digits", ["1211", "2322", "1121", "3433"])
def test_three_tips_do_not_stand_around_a_higher_one(digits: str) -> None:
    """Common practice, no source: a B flat seventh on a ukulele has a barre, in whichever fret."""
    frets = tuple(map(int, digits))
    ways = all_ways(frets, Instrument.named("ukulele"), None)
    assert ways and all(way.fingering.barres for way in ways)


def test_every_rule_has_a_name_words_and_a_source() -> None:
    names = [rule.name for rule in rules.RULES]
    assert sorted(names) == sorted({**BROKEN, **OTHERWISE})
    assert all(rule.words.endswith(".") and rule.source for rule in rules.RULES)
