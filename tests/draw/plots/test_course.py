"""The map: classical scaling against distances that a plane holds, and against scipy."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lawful import ink, lawful
from small_arrangements import _arranged
from small_tunes import tune_of

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.plots.course import _between, _heads, draw_courses, scale_to_plane, write_names
from harmonykit.draw.plots.matrix import distances
from harmonykit.draw.tree import Group, Path, Point, Sheet, Text
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

UKULELE = Instrument.named("ukulele")
planes = st.lists(
    st.tuples(st.integers(-20, 20), st.integers(-20, 20)), min_size=2, max_size=8, unique=True
)


@given(planes)
def test_points_of_a_plane_come_back_as_far_apart_as_they_were(
    points: list[tuple[int, int]],
) -> None:
    given_ = [[math.dist(a, b) for b in points] for a in points]
    found, misfit = scale_to_plane(given_)
    drawn = np.hypot(*(found[:, None, :] - found[None, :, :]).transpose(2, 0, 1))
    assert np.allclose(drawn, given_, atol=1e-6) and misfit < 1e-7


def test_the_misfit_of_four_points_all_as_far_apart_is_that_of_a_flat_tetrahedron() -> None:
    """Four points at distance 1 from each other want three dimensions.

    Centred, the squared coordinates of a regular tetrahedron have three equal eigenvalues of 1/2:
    a plane keeps two thirds of the squared distances' sum, whichever plane it is.
    """
    table = [[float(a != b) for b in range(4)] for a in range(4)]
    points, misfit = scale_to_plane(table)
    drawn = np.hypot(*(points[:, None, :] - points[None, :, :]).transpose(2, 0, 1))
    assert (drawn**2).sum() == pytest.approx(2 / 3 * 12)
    assert misfit == pytest.approx(math.sqrt(((drawn - np.array(table)) ** 2).sum() / 12))
    assert misfit > 0.1


def test_the_same_input_gives_the_same_bytes_and_the_misfit_is_printed() -> None:
    tune = tune_of("| Gm6 | Bb7 | Eb6 | D7 |")
    ways = reharmonise(
        tune,
        UKULELE,
        ["leading-tone diminished"],
        k=2,
        wishes=Wishes(name="leading-tone diminished"),
    )
    figure = draw_courses(ways)
    assert figure == draw_courses(ways)
    assert (
        any("misfit of the map" in text for text in figure.sheet.texts) and "misfit" in figure.alt
    )
    assert "arrangement-2" in figure.sheet.ids
    assert any("all voices together" in text for text in figure.sheet.texts)


def test_a_tune_of_one_chord_has_no_map() -> None:
    ways = reharmonise(tune_of("| C6 | C6 |"), UKULELE, (), k=1)
    with pytest.raises(HarmonyError, match="1 chords of 1 arrangements"):
        draw_courses(ways)


def waltz() -> list[Arrangement]:
    tune = tune_of("| Gm6 | Bb7 | Eb6 | D7 | Gm6 | Cm6 | F7 |")
    moves = ["leading-tone diminished"]
    return reharmonise(tune, UKULELE, moves, k=3, wishes=Wishes(name="leading-tone diminished"))


def dots(sheet: Sheet, number: int) -> list[Point]:
    """Return where the chords of an arrangement stand on its panel."""
    paths = sheet.all(Path, within=f"arrangement-{number}")
    return [p.box.middle for p in paths if p.width == 0.4 and p.box.width == pytest.approx(1.8)]


def test_it_keeps_the_laws_of_figures() -> None:
    lawful(draw_courses(waltz()), (2, 2.2, 90, 9))
    lawful(draw_courses(waltz()[:1]), (8, 2.2, 8, 9))


def test_the_scale_bar_is_as_long_as_a_semitone_on_the_map() -> None:
    """The least sum of squared misfits: a bar for one semitone, ends upright, text beside it."""
    ways = waltz()[:1]
    sheet = draw_courses(ways).sheet
    chords = list(dict.fromkeys(s.chord.over(None) for s in ways[0].steps if s.chord))
    points, misfit = scale_to_plane(distances(chords))
    bar, ticks = [p for p in sheet.parts if isinstance(p, Path)][-2:]
    spots = dots(sheet, 1)
    far = max(math.dist(a, b) for a in points for b in points)
    assert max(math.dist(a, b) for a in spots for b in spots) / far == pytest.approx(
        bar.box.width, abs=0.02
    )
    assert [stroke[0][0] for stroke in ticks.strokes()] == [bar.box.left, bar.box.right]
    assert all(b[1] - a[1] == pytest.approx(2) for a, b in ticks.strokes())
    assert ticks.box.middle[1] == pytest.approx(bar.box.middle[1])
    (text,) = [t for t in sheet.all(Text) if t.text.startswith("1 semitone")]
    assert 1.5 < text.box.left - bar.box.right < 3.5
    assert ink(text).middle[1] == pytest.approx(bar.box.middle[1], abs=0.1)
    assert text.text.endswith(f"misfit of the map {round(100 * misfit)} %")


def test_panels_stand_in_two_columns_with_the_same_map() -> None:
    ways = waltz()
    sheet = draw_courses(ways).sheet
    assert sheet.width == pytest.approx(152)
    heads = [t for t in sheet.all(Text) if t.text == "leading-tone diminished"]
    assert [t.box.left for t in heads] == pytest.approx([1, 80, 1])
    assert heads[0].baseline == heads[1].baseline < heads[2].baseline
    down = heads[2].baseline - heads[0].baseline
    for one, other, (right, below) in ((1, 2, (79, 0)), (1, 3, (0, down))):
        moved = {(round(x + right, 2), round(y + below, 2)) for x, y in dots(sheet, one)}
        again = {(round(x, 2), round(y, 2)) for x, y in dots(sheet, other)}
        # What both have stands at the same place of both panels.
        assert len(moved & again) >= 4
    alone = draw_courses(ways[:1]).sheet
    assert alone.width == pytest.approx(84) and alone.height < sheet.height
    # The map lies in the middle of its panel, 7 mm or more from its edges.
    xs = [x for x, _ in dots(alone, 1)]
    assert min(xs) + max(xs) == pytest.approx(84, abs=0.05) and min(xs) >= 7 - 0.01
    ys = [y for _, y in dots(alone, 1)]
    assert min(ys) == pytest.approx(9 + 7, abs=0.02)


def test_arrows_lead_from_chord_to_chord_and_stop_short() -> None:
    ways = waltz()[:1]
    sheet = draw_courses(ways).sheet
    spots = dots(sheet, 1)
    shafts = [p for p in sheet.all(Path, within="arrangement-1") if p.width == 0.45]
    for shaft in shafts:
        first, last = shaft.points[0], shaft.points[-1]
        assert all(min(math.dist(end, spot) for spot in spots) < 5 for end in (first, last))
        start = min(spots, key=lambda s: math.dist(s, first))
        assert 0.3 < math.dist(start, first) <= 1.51
    used = list(dict.fromkeys(s.chord.over(None) for s in ways[0].steps if s.chord))
    assert len(set(spots)) <= len(used)
    # By hand: C6 and F6 by turns have one line with a head at both ends.
    to_and_fro = reharmonise(tune_of("| C6 | F6 | C6 |"), UKULELE, (), k=1)
    both = draw_courses(to_and_fro).sheet
    heads = [p for p in both.all(Path, within="arrangement-1") if p.fill == "ink"]
    assert len(heads) == 2
    there = draw_courses(reharmonise(tune_of("| C6 | F6 |"), UKULELE, (), k=1)).sheet
    assert len([p for p in there.all(Path, within="arrangement-1") if p.fill == "ink"]) == 1


def test_names_stand_near_their_points_on_paper_and_none_lies_on_a_point() -> None:
    sheet = draw_courses(waltz()).sheet
    for number in (1, 2, 3):
        spots = dots(sheet, number)
        papers = [
            p.box
            for p in sheet.all(Path, within=f"arrangement-{number}")
            if p.fill == "paper" and not p.stroke
        ]
        names = [t for t in sheet.all(Text, within=f"arrangement-{number}") if t.anchor == "center"]
        assert len(papers) == len(names) == len(set(spots))
        hairs = [p for p in sheet.all(Path, within=f"arrangement-{number}") if p.width == 0.2]
        for name in names:
            (paper,) = [
                b
                for b in papers
                if b.middle == pytest.approx((name.x, ink(name).middle[1]), abs=0.1)
            ]
            assert paper.width == pytest.approx(name.box.width + 0.8)
            assert 3 < paper.height < 5.5
            for x, y in spots:
                assert not (paper.left < x < paper.right and paper.top < y < paper.bottom)
            near = min(
                math.hypot(
                    max(paper.left - x, x - paper.right, 0), max(paper.top - y, y - paper.bottom, 0)
                )
                for x, y in spots
            )
            tied = any(
                paper.left - 0.01 <= x <= paper.right + 0.01
                and paper.top - 0.01 <= y <= paper.bottom + 0.01
                for p in hairs
                for x, y in p.points
            )
            # A name farther off has a thin line to its point.
            assert near < 1.91 or tied
        for one, other in itertools.combinations(papers, 2):
            assert (
                one.right <= other.left + 1e-6
                or other.right <= one.left + 1e-6
                or (one.bottom <= other.top + 1e-6 or other.bottom <= one.top + 1e-6)
            )


def test_the_words_count_the_chords_of_each_course() -> None:
    ways = waltz()[:2]
    alt = draw_courses(ways, names=["one", "two"]).alt
    assert alt.startswith("Map of ") and "; one: " in alt
    chords = {s.chord.over(None) for way in ways for s in way.steps if s.chord}
    assert f"Map of {len(chords)} chords" in alt
    for name, way in zip(("one", "two"), ways, strict=True):
        used = list(dict.fromkeys(s.chord.over(None) for s in way.steps if s.chord))
        own = {s.written.pcs for s in way.steps if s.written}
        new = sum(chord.pcs not in own for chord in used)
        assert f"{name}: {len(used)} chords, {new or 'none'} of them added; " in alt
    texts = draw_courses(ways, names=["one", "two"]).sheet.texts
    assert "one" in texts and "two" in texts
    with pytest.raises(HarmonyError, match="0 chords of 0"):
        draw_courses([])


def small() -> Arrangement:
    """Return C6, F, and a diminished seventh in place of C6 between them."""
    plain = _arranged("C6=0000 F:2=2010 | Bdim7=4545 | F=2010 | C6=0000")
    steps = [
        replace(step, written=Chord.parse("C6")) if step.onset == 4 else step
        for step in plain.steps
    ]
    return replace(plain, steps=tuple(steps))


def test_a_change_with_an_added_chord_is_thick_and_its_chord_solid() -> None:
    sheet = draw_courses([small()]).sheet
    parts = sheet.all(Path, within="arrangement-1")
    discs = [p for p in parts if p.width == 0.4]
    solid = [p.box.middle for p in discs if p.fill == "ink"]
    assert len(discs) == 3 and len(solid) == 1
    shafts = [p for p in parts if p.width in (0.45, 0.25) and p.stroke]
    # F to B°7 and back are one line with two heads; so are C6 and F.
    assert sorted(p.width for p in shafts) == [0.25, 0.25, 0.45, 0.45]
    for shaft in shafts:
        near = min(math.dist(end, spot) for end in shaft.ends for spot in solid)
        assert (near < 3.5) == (shaft.width == 0.45)
    # What is added is drawn over what is written.
    assert [p.width for p in shafts] == [0.25, 0.25, 0.45, 0.45]
    for shaft in shafts:
        start = min(math.dist(shaft.ends[0], p.box.middle) for p in discs)
        assert start == pytest.approx(1.5, abs=0.01)


def test_the_scale_and_the_key_stand_below_the_map_in_their_order() -> None:
    """By hand: a mm from the left edge, 4.5 under the panels; the key follows after."""
    for ways in ([small()], [small(), small()], [small()] * 3):
        for width in (90.0, 152.0):
            sheet = draw_courses(ways, width_mm=width).sheet
            bar = [p for p in sheet.parts if isinstance(p, Path)][-2]
            panels = [g.box.bottom for g in sheet.all(Group) if g.id.startswith("arrangement-")]
            assert bar.box.left == 1.0 and max(panels) < bar.box.top < max(panels) + 8
            key = [t for t in sheet.all(Text, within="foot") if t.size == 8.0]
            assert 5 < ink(key[0]).top - bar.box.top - 1.0 < 7.5
            heads = [t.text for t in sheet.all(Text) if t.size == 10.0 and t.anchor == "left"]
            # Side by side where there is room for two; on a telephone one below the other.
            places = [t.x for t in sheet.all(Text) if t.size == 10.0 and t.anchor == "left"]
            lefts = [1.0, 80.0, 1.0] if width == 152.0 else [1.0] * 3
            assert places == pytest.approx(lefts[: len(ways)])
            # Without names of their own they are numbered from 1.
            assert heads == [str(n + 1) for n in range(len(ways))]
            assert f"; {heads[0]}: 3 chords, 1 of them added; " in draw_courses(ways).alt


def test_a_name_stands_as_close_to_its_point_as_it_can() -> None:
    """Where nothing is in the way: a gap of 1.5 mm, from the middle of a dot to the patch."""
    sheet = draw_courses([small()]).sheet
    parts = sheet.all(Path, within="arrangement-1")
    spots = [p.box.middle for p in parts if p.width == 0.4]
    patches = [p.box for p in parts if p.fill == "paper" and not p.stroke]
    for patch in patches:
        away = [
            math.hypot(
                max(patch.left - x, x - patch.right, 0), max(patch.top - y, y - patch.bottom, 0)
            )
            for x, y in spots
        ]
        assert 1.14 < min(away) < 1.9
        assert patch.height == pytest.approx(4.4)


def test_a_name_that_stands_far_off_is_tied_to_its_point() -> None:
    """By hand: from the rim of the dot, .2 mm off, to the nearest point of the name's patch."""
    canvas = Canvas(60, 40)
    names = [("near", (10.0, 10.0), (14.0, 10.0), (5.0, 4.0)),
             ("right", (10.0, 30.0), (20.0, 30.0), (10.0, 4.0)),
             ("above", (40.0, 30.0), (41.0, 20.0), (10.0, 4.0))]  # fmt: skip
    write_names(canvas, names)
    sheet = canvas.drawing("names", "names").sheet
    ties = [p for p in sheet.all(Path) if p.stroke]
    assert [p.ends for p in ties] == [
        (pytest.approx((11.1, 30.0)), (15.0, 30.0)),
        (pytest.approx((40.0, 28.9)), (40.0, 22.0)),
    ]
    assert {p.width for p in ties} == {0.2}
    patches = [p.box for p in sheet.all(Path) if p.fill]
    assert [(b.middle, b.width, b.height) for b in patches] == [
        (spot, *size) for _, _, spot, size in names
    ]
    for text, (said, _, spot, _) in zip(sheet.all(Text), names, strict=True):
        assert (text.text, text.size, text.weight) == (said, 10.0, 600)
        assert ink(text).middle == pytest.approx(spot, abs=0.02)


def test_a_chord_that_comes_under_another_bass_is_one_chord() -> None:
    way = _arranged("C6=0000 C6/E:2=0000 | F=2010 | C6=0000")
    alt = draw_courses([way]).alt
    assert alt.startswith("Map of 2 chords") and ": 2 chords, none of them added; " in alt


def test_names_keep_clear_of_heads_and_rather_of_lines() -> None:
    """By hand: a head lies 2.2 mm before its end, or half-way; lines are met every .6 mm."""
    assert _heads((0.0, 0.0), (10.0, 0.0), both=False) == [pytest.approx((7.8, 0.0))]
    assert _heads((0.0, 0.0), (10.0, 0.0), both=True) == [
        pytest.approx((7.8, 0.0)),
        pytest.approx((2.2, 0.0)),
    ]
    assert _heads((0.0, 0.0), (0.0, 2.0), both=True) == [(0.0, 1.0)] * 2
    assert _between((0.0, 0.0), (0.0, 3.1)) == [
        pytest.approx((0.0, y)) for y in (0.6, 1.2, 1.8, 2.4)
    ]
    assert _between((0.0, 0.0), (1.0, 0.0)) == []


def test_chords_at_one_place_share_a_name() -> None:
    """C6 and Am7 have the same notes: one dot, and both names beside it."""
    sheet = draw_courses([_arranged("C6=0000 Am7:2=0000 | F=2010 | C6=0000")]).sheet
    names = [t.text for t in sheet.all(Text) if t.anchor == "center" and t.weight == 600]
    assert sorted(names) == ["C6, Am7", "F"]
    assert len([p for p in sheet.all(Path, within="arrangement-1") if p.width == 0.4]) == 2
