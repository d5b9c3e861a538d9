"""Fingerings inside a progression: against every way through it, and what any teacher shows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import groupby, pairwise, permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.hands.hand import Fingering, Hold, Limits, awkwardness, limits_at
from harmonykit.fretboard.hands.holding import ways_to_finger
from harmonykit.fretboard.hands.progression import AGAIN_MM, AWKWARD_MM, PLACE_MM, fingerings
from harmonykit.fretboard.hands.travel import stance, way_mm
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument

UKULELE, GUITAR = Instrument.named("ukulele"), Instrument.named("guitar")
WIDE = Limits(max_fret=UKULELE.frets)


def shapes(text: str, instrument: Instrument = UKULELE) -> list[Voicing]:
    return [Voicing.parse(digits, instrument) for digits in text.split()]


def options(voicing: Voicing) -> list[tuple[Fingering, int]]:
    """Return the ways to hold a shape and the points of each, by their definition."""
    found = [way for way, _ in ways_to_finger(voicing.frets, UKULELE, WIDE)]
    listed = [(way, least_points(voicing, way) + (way != found[0])) for way in found]
    for way in found:
        for s in (0, 1):
            one_fret = len(set(voicing.frets[s : s + 3])) == 1
            alone = sum(map(bool, voicing.frets)) == 3
            if way.fingers[s : s + 2] == (1, 2) and one_fret and alone and not way.barres:
                behind = (*way.fingers[:s], 2, 1, *way.fingers[s + 2 :])
                listed.append((Fingering(behind), least_points(voicing, way) + 2))
    return [
        (way, points + flat_points(voicing, way) + cramped(voicing, way)) for way, points in listed
    ]


def cramped(voicing: Voicing, way: Fingering) -> int:
    fingers = {f: voicing.frets[way.fingers.index(f)] for f in set(way.fingers) - {0, None}}
    idle = 1 not in fingers and 1 in fingers.values()
    return 6 * idle + sum(max(0, f - fret - 1) ** 2 for f, fret in fingers.items() if f and fret)


def flat_points(voicing: Voicing, way: Fingering) -> int:
    three = {2: 12, 3: 2, 4: 12}
    other = sum(
        three.get(barre.finger or 0, 6) if barre.width > 2 else 6
        for barre in way.barres
        if barre.finger != 1
    )
    off = sum(2 for barre in way.barres if 0 in voicing.frets[barre.last + 1 :])
    under = [
        barre
        for barre in way.barres
        if 0 in voicing.frets
        and max(fret or 0 for fret in voicing.frets[barre.first : barre.last + 1]) > barre.fret
    ]
    return other + off + 3 * len(under)


def cheapest(held: Sequence[Voicing], loop: bool, prices: tuple[float, float, float]) -> float:
    """Return the price of the cheapest way through a progression: every way is tried."""
    found = []
    for ways in product(*map(options, held)):
        runs = [*zip(held, ways, strict=True)]
        runs += runs[:1] if loop else []
        if all(a[1] == b[1] for a, b in pairwise(runs) if a[0] == b[0]):
            found.append(price(runs, loop, prices))
    return min(found)


def paid(
    held: Sequence[Voicing],
    found: Sequence[Fingering],
    loop: bool,
    prices: tuple[float, float, float],
) -> float:
    """Return the price of fingerings that were found."""
    listed = [dict((w.fingers, (w, n)) for w, n in options(v)) for v in held]
    runs = [(v, of[f.fingers]) for v, of, f in zip(held, listed, found, strict=True)]
    return price([*runs, *(runs[:1] if loop else [])], loop, prices)


def price(
    runs: Sequence[tuple[Voicing, tuple[Fingering, int]]],
    loop: bool,
    prices: tuple[float, float, float],
) -> float:
    changes = [(a, b) for a, b in pairwise(runs) if a[0] != b[0]]
    total = 0.0 if loop and changes else prices[0] * runs[0][1][1]
    total += prices[2] * unlike(runs[:-1] if loop and changes else runs)
    for (a, (old, _)), (b, (new, points)) in changes:
        total += way_mm(stance(a.frets, old, UKULELE), stance(b.frets, new, UKULELE))
        total += prices[0] * points + prices[1] * placed(a, old, b, new)
    return total


def unlike(runs: Sequence[tuple[Voicing, tuple[Fingering, int]]]) -> int:
    """Count where a shape comes again, after another, with other fingers than most often."""
    comes = [one for place, one in enumerate(runs) if not place or runs[place - 1][0] != one[0]]
    held = Counter(voicing for voicing, _ in comes)
    alike = Counter((voicing, way.fingers) for voicing, (way, _) in comes)
    most = {voicing: max(n for (v, _), n in alike.items() if v == voicing) for voicing in held}
    return held.total() - sum(most.values())


def placed(a: Voicing, old: Fingering, b: Voicing, new: Fingering) -> int:
    """Count what a change asks of the fingers, by its definition."""
    before = {f: strings_under(f, old) for f in set(old.fingers) - {0, None}}
    after = {f: strings_under(f, new) for f in set(new.fingers) - {0, None}}
    fret = [
        {f: v.frets[way.fingers.index(f)] for f in on}
        for v, way, on in ((a, old, before), (b, new, after))
    ]
    both = before.keys() & after.keys()
    laid = {
        f
        for f in both
        if min(len(before[f]), len(after[f])) > 1
        and before[f] & after[f]
        and fret[0][f] == fret[1][f]
    }
    for way in (-3, -2, -1, 1, 2, 3):
        moved = {f: {s + way for s in on} for f, on in before.items() if f not in laid}
        goes = {f: on for f, on in after.items() if f not in laid}
        if len(goes) > 1 and moved == goes and fret[0] == fret[1]:
            return 1
    anew = sum(f not in before or not before[f] & on for f, on in after.items())
    rolled = sum(
        before[f] != after[f] and bool(before[f] & after[f]) and fret[0][f] == fret[1][f]
        for f in both
    )
    crossed = sum(
        not before[f] & after[f]
        and not before[g] & after[g]
        and (max(before[f]) < min(before[g]) and min(after[f]) > max(after[g]))
        for f, g in permutations(both, 2)
    )
    loose = bool(before) and bool(after) and not any(before[f] & after[f] for f in both)
    return anew + rolled + crossed + loose + 3 * swapped_on(a, old, b, new)


def swapped_on(a: Voicing, old: Fingering, b: Voicing, new: Fingering) -> int:
    pairs = zip(a.frets, b.frets, old.fingers, new.fingers, strict=True)
    return sum(x == y and bool(x) and p != q for x, y, p, q in pairs)


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


SHAPES = "0003 2010 0212 2000 0232 2220 0000 2323 3211 5757 0001 0002 4442".split()


@given(
    st.lists(st.sampled_from(SHAPES), min_size=1, max_size=4),
    st.booleans(),
    st.sampled_from(
        [(0.0, 0.0, 0.0), (AWKWARD_MM, PLACE_MM, AGAIN_MM), (50.0, 0.0, 4.0), (1.0, 20.0, 50.0)]
    ),
)
def test_no_way_through_a_progression_moves_the_hand_less(
    text: list[str], loop: bool, prices: tuple[float, float, float]
) -> None:
    held = shapes(" ".join(text))
    awkward, place, again = prices
    found = fingerings(held, loop=loop, awkward_mm=awkward, place_mm=place, again_mm=again)
    assert paid(held, found, loop, prices) == pytest.approx(cheapest(held, loop, prices))


@pytest.mark.parametrize("prices", [(1.0, 5.0, 0.0), (4.0, 0.0, 9.0), (10.0, 10.0, 10.0)])
def test_a_loop_counts_its_first_shape_once(prices: tuple[float, float, float]) -> None:
    for pair in permutations("0232 2223 0202 3211 0013 4432".split(), 2):
        held = shapes(" ".join(pair))
        awkward, place, again = prices
        found = fingerings(held, loop=True, awkward_mm=awkward, place_mm=place, again_mm=again)
        assert paid(held, found, True, prices) == pytest.approx(cheapest(held, True, prices))


# What teachers show (common practice, no source): a finger that can stay, stays; one that can
# slide, guides the hand; fingers that can go together, do.
@pytest.mark.parametrize(
    ("text", "instrument", "fingers"),
    [
        # C to Am: index and middle finger stay, the ring finger crosses.
        ("x32010 x02210", GUITAR, ["x32010", "x02310"]),
        # E to Am: three fingers move together to the next strings.
        ("022100 x02210", GUITAR, ["023100", "x02310"]),
        # D to A: the index stays on the third string, the ring finger slides along the second; then
        # to E and back to D the index slides along the third.
        ("xx0232 x02220 022100 xx0232", GUITAR, ["xx0132", "x02130", "023100", "xx0132"]),
        # C to G: ring and middle finger go over together, the little finger lands.
        ("x32010 320003", GUITAR, ["x32010", "320004"]),
        # Am to a small F: index and ring finger stay, the little finger lands above.
        ("x02210 xx3211", GUITAR, ["x02310", "xx4311"]),
        # C, Am, F on a ukulele: the middle finger stays on g, the index lands.
        ("0003 2000 2010", UKULELE, ["0003", "2000", "2010"]),
        # G to G7: held as 2, 3, 4, two fingers stay, and only the first string changes.
        ("0232 0212", UKULELE, ["0243", "0213"]),
        # A barre is kept, and the little finger lifts.
        ("2225 2222", UKULELE, ["1114", "1111"]),
        # B minor to F sharp and back under one barre: three fingers go over together.
        ("x24432 244322 x24432", GUITAR, ["x13421", "134211", "x13421"]),
        # F has its ring and little finger, also beside a B flat that lays the ring finger flat.
        ("133211 x13331 133211 x13331", GUITAR, ["134211", "x13331", "134211", "x13331"]),
        # The barre of a dominant stays as the diminished seventh is built on it.
        ("2223 2323", UKULELE, ["1113", "1213"]),
        # G6, Em7, Am7, D7 and round again: G6 and D7 have the fingers that they had.
        (
            "320000 020000 x02010 xx0212 320000 020100 x02010 xx0212",
            GUITAR,
            ["320000", "020000", "x02010", "xx0213", "320000", "020100", "x02010", "xx0213"],
        ),
        # G to D: the ring finger stays, and the index does not lie under it.
        ("320033 xx0232 320033", GUITAR, ["210034", "xx0132", "210034"]),
        # Three strings in a fret: the ring finger lies over them, not the little finger.
        ("xx1333 x32310", GUITAR, ["xx1333", "x32410"]),
        # G7 has the index at fret 1, also where another finger was there.
        ("x10031 320001 x3131x", GUITAR, ["x10042", "320001", "x3141x"]),
        # From F7 to a low diminished seventh: index and middle finger, not the little one.
        ("2313 0101 2313", UKULELE, ["2314", "0102", "2314"]),
        # A diminished seventh one fret up: all four slide.
        ("2323 3434", UKULELE, ["1324", "1324"]),
    ],
)
def test_a_finger_that_can_stay_stays(
    text: str, instrument: Instrument, fingers: list[str]
) -> None:
    found = fingerings(shapes(text, instrument))
    assert [written(way) for way in found] == fingers


def written(way: Fingering) -> str:
    return "".join("x" if finger is None else str(finger) for finger in way.fingers)


def test_shapes_of_one_word_have_one_fingering() -> None:
    # Before A7 the G is 1, 3, 2; before G7 it is 2, 4, 3, and so both times where both are one.
    held = shapes("0232 0100 0232 0212")
    apart = [written(way) for way in fingerings(held, again_mm=0)]
    alike = [written(way) for way in fingerings(held, alike=("G", "A7", "G", "G7"))]
    assert apart == ["0132", "0100", "0243", "0213"]
    assert (alike[0], alike[2:]) == ("0243", ["0243", "0213"])
    with pytest.raises(HarmonyError, match="0-2-3-2 and 0-1-0-0 need the same fingering"):
        fingerings(held, alike=("G", "G", "C", "D"))


@given(
    st.lists(st.sampled_from(SHAPES), min_size=1, max_size=3),
    st.lists(st.integers(0, 2), min_size=1, max_size=5),
)
def test_no_way_in_which_phrases_come_again_alike_moves_the_hand_less(
    text: list[str], order: list[int]
) -> None:
    words = [place % len(text) for place in order]
    held = [shapes(text[word])[0] for word in words]
    found = fingerings(held, alike=words)
    prices = (AWKWARD_MM, PLACE_MM, AGAIN_MM)
    least = []
    for ways in product(*(options(voicing) for voicing in held)):
        runs = [*zip(held, ways, strict=True)]
        tied = len({(word, way[0].fingers) for word, way in zip(words, ways, strict=True)})
        if tied == len(set(words)) and all(a[1] == b[1] for a, b in pairwise(runs) if a[0] == b[0]):
            least.append(price(runs, False, prices))
    assert paid(held, found, False, prices) == pytest.approx(min(least))
    assert len({(w, f.fingers) for w, f in zip(words, found, strict=True)}) == len(set(words))


@given(st.lists(st.sampled_from(SHAPES), min_size=2, max_size=4))
def test_a_held_string_changes_its_finger_only_where_that_saves_something(text: list[str]) -> None:
    """No way has grips as easy and as much alike, moves and places no more, and holds more."""
    held = [voicing for voicing, _ in groupby(shapes(" ".join(text)))]
    listed = [{way.fingers: (way, points) for way, points in options(each)} for each in held]
    taken = [of[way.fingers] for of, way in zip(listed, fingerings(held), strict=True)]
    swaps, *asked = asked_of(held, taken)
    for ways in product(*(of.values() for of in listed)):
        fewer, *other = asked_of(held, ways)
        assert fewer >= swaps or any(a > b + 1e-9 for a, b in zip(other, asked, strict=True))


def asked_of(held: Sequence[Voicing], ways: Sequence[tuple[Fingering, int]]) -> tuple[float, ...]:
    """Return swapped fingers, placed ones beside them, points, mm and unlike ways, added up."""
    swaps = placings = way = 0.0
    for (a, (old, _)), (b, (new, _)) in pairwise(zip(held, ways, strict=True)):
        asked = placed(a, old, b, new)
        swapped = 0 if asked == 1 else swapped_on(a, old, b, new)
        swaps, placings = swaps + swapped, placings + asked - 3 * swapped
        way += way_mm(stance(a.frets, old, UKULELE), stance(b.frets, new, UKULELE))
    again = unlike([*zip(held, ways, strict=True)])
    return swaps, placings, sum(points for _, points in ways), way, again


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
