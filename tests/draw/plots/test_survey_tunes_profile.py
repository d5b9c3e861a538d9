"""The keys on the whole: means, whiskers, counts, and that it fits."""

from __future__ import annotations

import itertools

import pandas as pd
import pytest
from lawful import ink, lawful
from survey_tables import inside, surveyed, texts

from harmonykit.arrange.survey import key_profile
from harmonykit.draw.plots.survey_tunes import draw_key_profile
from harmonykit.draw.tree import Path, Sheet, Text
from harmonykit.errors import HarmonyError


def two_tunes() -> pd.DataFrame:
    table = surveyed()
    return table[table["written"].str.endswith("major")]


def test_it_counts_the_tunes_of_which_a_key_is_best() -> None:
    drawing = draw_key_profile(two_tunes())
    shown = texts(drawing)
    assert shown[0] == "Major keys, 2 tunes"
    profile = key_profile(two_tunes())
    for instrument in ("ukulele", "guitar"):
        start = shown.index(f"{instrument}, level 1") + 1
        counts = [int(text) for text in shown[start : start + 12]]
        assert sum(counts) == 2
        best = profile[profile["instrument"] == instrument]["best"]
        assert sorted(counts) == sorted(best)
        nearest = profile[profile["instrument"] == instrument].sort_values("over").iloc[0]
        assert f"{instrument}, level 1: {nearest['key']} {nearest['over']:.0f}" in drawing.alt


def test_marks_and_whiskers_stand_where_the_numbers_say() -> None:
    """A whisker is four standard errors long, but never below 0."""
    sheet = draw_key_profile(two_tunes()).sheet
    percents = {
        int(text.text.removesuffix(" %")): text.baseline
        for text in sheet.all(Text)
        if text.text.endswith(" %")
    }
    low, high = 0, max(percents)
    unit = (percents[low] - percents[high]) / high
    profile = key_profile(two_tunes())
    for number, instrument in enumerate(("ukulele", "guitar")):
        lines = [path.ends for path in hand(sheet, number) if is_line(path)]
        rows = profile[profile["instrument"] == instrument]
        reach = 2 * rows["error"]
        spans = (rows["over"] + reach - (rows["over"] - reach).clip(lower=0)) * unit
        assert [low - high for (_, low), (_, high) in lines] == pytest.approx(list(spans))


def hand(sheet: Sheet, number: int) -> list[Path]:
    """Return the paths of one hand."""
    return sheet.all(Path, within=f"hand-{number}")


def is_line(path: Path) -> bool:
    return [letter for letter, _ in path.outline] == ["M", "L"]


@pytest.mark.parametrize("palette", ["colour", "one ink", "dark", "print"])
def test_it_fits(palette: str) -> None:
    inside(draw_key_profile(two_tunes(), palette=palette))


def test_a_single_tune_has_no_whiskers_and_fits() -> None:
    drawing = draw_key_profile(surveyed(), "minor")
    inside(drawing)
    assert texts(drawing)[0] == "Minor keys, 1 tune"
    assert {p.box.height for p in hand(drawing.sheet, 0) if is_line(p)} == {0.0}


def test_four_hands_are_told_apart_by_their_marks_and_five_are_too_many() -> None:
    hands = pd.concat([two_tunes().assign(level=level) for level in (1, 2)])
    drawing = draw_key_profile(hands)
    inside(drawing)
    marks = []
    for number in range(4):
        _, *mark = hand(drawing.sheet, number)
        second = next(place for place, path in enumerate(mark) if is_line(path))
        shapes = ["".join(letter for letter, _ in path.outline) for path in mark[:second]]
        marks.append((tuple(shapes), tuple((p.fill, p.stroke) for p in mark[:second])))
    assert len(set(marks)) == 4
    more = pd.concat([two_tunes().assign(level=level) for level in (1, 2, 3)])
    with pytest.raises(HarmonyError, match="6 rows to draw"):
        draw_key_profile(more)


def test_a_corner_marks_keys_past_the_limits() -> None:
    plain, strained = (
        draw_key_profile(two_tunes().assign(past=past), by="cost") for past in (0, 1)
    )
    assert len(strained.sheet.all(Path)) - len(plain.sheet.all(Path)) == 24


def test_what_cannot_be_drawn() -> None:
    with pytest.raises(HarmonyError, match="0 rows"):
        draw_key_profile(two_tunes(), "minor")


def test_it_keeps_the_laws_of_figures() -> None:
    lawful(draw_key_profile(two_tunes()), (1.6, 3, 1.6, 3))
    lawful(draw_key_profile(surveyed(), "minor"), (1.6, 3, 1.6, 3))


def heads(sheet: Sheet) -> list[Text]:
    """Return the names of the keys, from left to right."""
    return [t for t in sheet.all(Text) if t.size == 10 and t.weight == 600 and t.anchor == "center"]


def test_keys_stand_in_even_columns_above_their_counts() -> None:
    sheet = draw_key_profile(two_tunes()).sheet
    keys = heads(sheet)
    assert len(keys) == 12 and len({t.baseline for t in keys}) == 1
    (step,) = {round(b.x - a.x, 3) for a, b in itertools.pairwise(keys)}
    lines = [p for p in sheet.all(Path) if p.stroke == "hair"]
    # The columns fill the lines across: half a step at both ends.
    assert len({(p.box.left, p.box.right) for p in lines}) == 1
    assert keys[0].x - lines[0].box.left == pytest.approx(step / 2)
    assert lines[0].box.right - keys[-1].x == pytest.approx(step / 2)
    counts = [t for t in sheet.all(Text) if t.text.isdigit()]
    assert {round(t.x, 3) for t in counts} == {round(t.x, 3) for t in keys}
    ground = max(p.box.top for p in lines)
    assert all(ink(t).top > ground + 3 and ink(t).top < ground + 6 for t in keys)
    rows = sorted({round(t.baseline, 2) for t in counts})
    assert len(rows) == 2 and 4.5 < rows[1] - rows[0] < 6
    assert rows[0] > keys[0].baseline + 3


def test_percents_stand_at_even_heights_and_the_ground_is_the_heaviest_line() -> None:
    sheet = draw_key_profile(two_tunes()).sheet
    lines = sorted((p for p in sheet.all(Path) if p.stroke == "hair"), key=lambda p: -p.box.top)
    said = [t for t in sheet.all(Text) if t.text.endswith(" %")]
    numbers = [int(t.text.removesuffix(" %")) for t in said]
    step = numbers[1]
    assert numbers == list(range(0, numbers[-1] + 1, step)) and 2 <= len(numbers) <= 7
    for line, text in zip(lines, said, strict=True):
        assert ink(text).middle[1] == pytest.approx(line.box.top, abs=0.1)
        assert 1 < line.box.left - text.box.right < 3
    assert {round(a.box.top - b.box.top, 3) for a, b in itertools.pairwise(lines)} == {
        round((lines[0].box.top - lines[-1].box.top) / (len(lines) - 1), 3)
    }
    assert lines[0].width > lines[1].width
    # The highest whisker ends under the highest line, and above the one below it.
    tops = [p.box.top for n in (0, 1) for p in hand(sheet, n) if is_line(p)]
    assert lines[-1].box.top <= min(tops) + 1e-6 and min(tops) < lines[-2].box.top + 1e-6


def test_hands_stand_beside_each_other_about_the_middle_of_their_column() -> None:
    for count in (1, 2, 4):
        table = two_tunes()
        if count == 1:
            table = table[table["instrument"] == "ukulele"]
        if count == 4:
            table = pd.concat([table.assign(level=level) for level in (1, 2)])
        sheet = draw_key_profile(table).sheet
        keys = [t.x for t in heads(sheet)]
        for place, key in enumerate(keys):
            xs = sorted(
                next(
                    p for p in hand(sheet, n) if is_line(p) and abs(p.box.left - key) < 5.7
                ).box.left
                for n in range(count)
            )
            assert (xs[0] + xs[-1]) / 2 == pytest.approx(key), place
            gaps = [b - a for a, b in itertools.pairwise(xs)]
            # Neighbours keep to their own column of 11.4 mm, and stand evenly.
            assert all(gap == pytest.approx(gaps[0]) and 2 < gap < 4 for gap in gaps)
            assert xs[-1] - xs[0] < 11.4 - 2


def test_each_mark_stands_on_its_mean_and_beside_its_name() -> None:
    table = pd.concat([two_tunes().assign(level=level) for level in (1, 2)])
    sheet = draw_key_profile(table).sheet
    names = [t for t in sheet.all(Text) if ", level " in t.text]
    assert len(names) == 4 and len({t.box.left for t in names}) == 1
    assert all(t.text.startswith(("ukulele", "guitar")) and t.size >= 8 for t in names)
    loose = [p for p in sheet.parts if isinstance(p, Path) and p.box.left < 6 and p.fill]
    for name in names:
        beside = [p for p in loose if abs(p.box.middle[1] - ink(name).middle[1]) < 0.2]
        assert beside and all(p.box.middle[0] == pytest.approx(3.0) for p in beside)
        outer = max(ink(p).width for p in beside)
        assert 2.3 < outer < 3.2 and name.box.left - 3 - outer / 2 > 1
    # In the picture a mark lies on its whisker, the same size for every hand.
    for n in range(4):
        parts = hand(sheet, n)
        for line, mark in ((a, b) for a, b in itertools.pairwise(parts) if is_line(a)):
            assert mark.box.middle[0] == pytest.approx(line.box.left)
            assert ink(mark).width == pytest.approx(2.6, abs=0.35)
            assert ink(line).top - 1.5 < mark.box.middle[1] < ink(line).bottom + 1.5
    inner = [p for p in hand(sheet, 3) if p.fill == "paper"]
    assert inner and all(1.2 < p.box.width < 2.2 for p in inner)
    outer_squares = [p for p in hand(sheet, 3) if p.fill == "ink"]
    for inside_one, around in zip(inner, outer_squares, strict=True):
        assert inside_one.box.middle == pytest.approx(around.box.middle)


def test_the_most_often_best_key_is_bold() -> None:
    sheet = draw_key_profile(two_tunes()).sheet
    profile = key_profile(two_tunes())
    for number, instrument in enumerate(("ukulele", "guitar")):
        rows = [t for t in sheet.all(Text) if t.text.isdigit()][12 * number : 12 * number + 12]
        most = profile[profile["instrument"] == instrument]["best"].max()
        assert all((t.weight == 600) == (int(t.text) == most) for t in rows)


def test_a_corner_stands_at_the_upper_right_of_its_count_where_most_are_past() -> None:
    strained = draw_key_profile(two_tunes().assign(past=1), by="cost").sheet
    ears = [p for p in strained.all(Path) if p.fill and len(p.points) == 3]
    counts = [t for t in strained.all(Text) if t.text.isdigit()]
    # One for each key of each hand, and one in the foot.
    assert len(ears) == 25
    for count in counts:
        near = [
            e
            for e in ears
            if 0 < e.box.right - count.x < 5.7 and 0 <= ink(count).top - e.box.top < 2.6
        ]
        assert len(near) == 1 and near[0].box.left > count.box.right + 0.5
    *_, foot = ears
    (whiskers,) = [t for t in strained.all(Text) if "two standard errors" in t.text]
    (told,) = [t for t in strained.all(Text) if "limits" in t.text]
    assert whiskers.box.right + 1 < foot.box.left < foot.box.right < told.box.left
    assert told.box.left - foot.box.right < 2.5 and foot.box.bottom <= told.baseline + 0.1
    assert whiskers.baseline == told.baseline
    # Half of the tunes is not most of them.
    half = two_tunes()
    first = half["title"].iloc[0]
    half = half.assign(past=[int(title == first) for title in half["title"]])
    assert (
        len(
            [
                p
                for p in draw_key_profile(half, by="cost").sheet.all(Path)
                if p.fill and len(p.points) == 3
            ]
        )
        == 1
    )


def test_ears_stand_in_the_corner_of_their_column_level_with_their_row() -> None:
    """By hand: 4.4 mm right of the middle of a column; the top 2 mm over the middle of a row."""
    strained = draw_key_profile(two_tunes().assign(past=1), by="cost").sheet
    ears = [p for p in strained.all(Path) if p.fill and len(p.points) == 3][:-1]
    counts = [t for t in strained.all(Text) if t.text.isdigit()]
    assert len(ears) == len(counts) == 24
    for ear, count in zip(ears, counts, strict=True):
        assert ear.box.right - count.x == pytest.approx(4.4)
        assert ink(count).middle[1] - ear.box.top == pytest.approx(2.0, abs=0.05)


def test_rows_of_counts_stand_below_the_keys_in_even_lines() -> None:
    """By hand: 5.2 mm from row to row; names at 6.2 mm, marks with their middle at 3."""
    drawing = draw_key_profile(two_tunes())
    sheet = drawing.sheet
    levels = sorted({round(ink(t).middle[1], 2) for t in sheet.all(Text) if t.text.isdigit()})
    assert levels[1] - levels[0] == pytest.approx(5.2, abs=0.02)
    keys = heads(sheet)[0]
    assert 1.0 < levels[0] - 1.1 - keys.baseline < 5.5
    names = [t for t in sheet.all(Text) if t.x == 6.2]
    assert [round(ink(t).middle[1], 1) for t in names] == [round(y, 1) for y in levels]
    marks = [p for p in sheet.parts if isinstance(p, Path) and abs(p.box.middle[0] - 3.0) < 0.01]
    assert [round(p.box.middle[1], 1) for p in marks] == [round(y, 1) for y in levels]
    foot = [t for t in sheet.all(Text) if "two standard errors" in t.text]
    assert 3.0 < ink(foot[0]).top - levels[-1] - 1.1 < 6.5
    assert drawing.height_mm - foot[0].baseline == pytest.approx(2.2)


def test_axis_marks_and_whiskers_stand_where_they_are_counted() -> None:
    """By hand: 13 mm down begin 58 mm of percents; keys 11.4 mm apart behind 34."""
    sheet = draw_key_profile(two_tunes()).sheet
    hairs = [p for p in sheet.all(Path) if p.stroke == "hair"]
    tops = [p.box.top for p in hairs]
    assert (max(tops), min(tops)) == pytest.approx((71, 13))
    assert {(p.box.left, round(p.box.right, 6)) for p in hairs} == {(34.0, 34 + 12 * 11.4)}
    assert [p.width for p in hairs] == [0.25] + [0.12] * (len(hairs) - 1)
    percents = [t for t in sheet.all(Text) if t.text.endswith(" %")]
    assert {(t.x, t.anchor) for t in percents} == {(32.0, "right")}
    assert [ink(t).middle[1] for t in percents] == pytest.approx(tops, abs=0.02)
    assert [t.x for t in heads(sheet)] == pytest.approx([34 + 11.4 * (n + 0.5) for n in range(12)])
    assert {round(t.baseline, 6) for t in heads(sheet)} == {78.0}
    top = int(percents[-1].text.split()[0])
    profile = key_profile(two_tunes())
    for number, instrument in enumerate(("ukulele", "guitar")):
        aside = (number - 0.5) * 3.4
        rows = profile[(profile["instrument"] == instrument) & (profile["mode"] == "major")]
        paths = hand(sheet, number)
        whiskers = [p for p in paths if is_line(p)]
        discs = [p for p in paths if not is_line(p)]
        over = {round(float(value), 6) for value in rows["over"]}
        assert len(whiskers) == len(discs) == 12
        for whisker, disc in zip(whiskers, discs, strict=True):
            place = (disc.box.middle[0] - aside - 34) / 11.4 - 0.5
            assert place == pytest.approx(round(place), abs=1e-6)
            assert whisker.box.left == pytest.approx(disc.box.middle[0]) and whisker.width == 0.35
            assert whisker.box.top <= disc.box.middle[1] <= whisker.box.bottom <= 71 + 1e-6
            assert disc.box.width == pytest.approx(2.5)
            read = (71 - disc.box.middle[1]) / 58 * top
            assert any(abs(read - value) < 1e-4 for value in over)


def test_steps_of_the_axis_are_six_at_the_most() -> None:
    """5, 10, 20, 50 and so on for ever; the highest whisker lies below the highest line."""
    for factor in (1.0, 3.0, 9.0, 400.0):
        table = two_tunes()
        least = table.groupby(["title", "instrument"])["cost"].transform("min")
        wider = table.assign(cost=least + (table["cost"] - least) * factor)
        sheet = draw_key_profile(wider, by="cost").sheet
        percents = [int(t.text.split()[0]) for t in sheet.all(Text) if t.text.endswith(" %")]
        step = percents[1] - percents[0]
        assert percents[0] == 0 and len(percents) <= 7
        assert step >= 5 and str(step).rstrip("0") in ("1", "2", "5")
        assert {b - a for a, b in itertools.pairwise(percents)} == {step}
        lines = [p for n in (0, 1) for p in hand(sheet, n) if is_line(p)]
        assert min(p.box.top for p in lines) >= 13 - 1e-6
        if len(percents) > 2:
            # One step less would not have held them.
            assert min(p.box.top for p in lines) < 13 + 58 / (len(percents) - 1)
