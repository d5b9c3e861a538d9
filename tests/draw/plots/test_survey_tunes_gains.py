"""The ranking of tunes: its order, its numbers, and that it fits."""

from __future__ import annotations

import itertools

import pandas as pd
import pytest
from lawful import ink, lawful
from survey_tables import inside, surveyed, texts

from harmonykit.arrange.survey import gains
from harmonykit.draw.plots.survey_tunes import draw_gains
from harmonykit.draw.tree import Group, Path, Text
from harmonykit.errors import HarmonyError


def ours(instrument: str = "guitar") -> pd.DataFrame:
    table = surveyed()
    return gains(table[table["instrument"] == instrument])


@pytest.mark.parametrize("instrument", ["ukulele", "guitar"])
def test_tunes_stand_in_the_order_of_what_they_gain(instrument: str) -> None:
    drawing = draw_gains(surveyed(), instrument, 1)
    shown = texts(drawing)
    found = ours(instrument)
    places = [
        next(i for i, text in enumerate(shown) if text.startswith(title))
        for title in found["title"]
    ]
    assert places == sorted(places)
    for place, row in zip(places, found.to_dict("records"), strict=True):
        tonic, mode = row["key"].split()
        assert shown[place].endswith(f", {tonic}{'m' if mode == 'minor' else ''}")
        sign = "" if abs(row["gain"]) < 0.05 else "−" if row["gain"] > 0 else "+"
        assert shown[place + 1 : place + 3] == [
            f"{sign}{abs(row['gain']):.1f}",
            str(row["added"]),
        ]
    first = found.iloc[0]
    assert drawing.alt.startswith(
        f"Semitones a change, as written and with the moves, {instrument}, level 1: "
        f"{first['title']} {first['written_mean_movement']:.1f} to {first['mean_movement']:.1f}"
    )


def test_marks_stand_where_the_numbers_say() -> None:
    """Rings and discs of a tune are as far apart, in ticks, as its two means."""
    sheet = draw_gains(surveyed(), "guitar", 1).sheet
    ticks = {
        int(text.text): text.x
        for text in sheet.all(Text)
        if text.text.isdigit() and text.anchor == "center"
    }
    low, high = min(ticks), max(ticks)
    for place, row in enumerate(ours().to_dict("records")):
        (start, _), (end, _) = sheet.all(Path, within=f"tune-{place}")[0].ends
        unit = (ticks[high] - ticks[low]) / (high - low)
        assert (start - end) / unit == pytest.approx(row["gain"], abs=0.02)


@pytest.mark.parametrize("palette", ["colour", "one ink", "dark", "print"])
def test_it_fits(palette: str) -> None:
    inside(draw_gains(surveyed(), "ukulele", 1, palette=palette))
    inside(draw_gains(surveyed().assign(title="The Very Long Harbour Wall " * 5), "guitar", 1))


def test_only_the_first_are_drawn_where_there_are_many() -> None:
    drawing = draw_gains(surveyed(), "guitar", 1, most=2)
    assert "the first 2 of 3 tunes" in texts(drawing)
    assert ours()["title"].iloc[2] not in " ".join(texts(drawing))


def test_what_cannot_be_drawn() -> None:
    for instrument, level in (("banjo", 1), ("guitar", 2)):
        with pytest.raises(HarmonyError, match="no tune of the survey has results"):
            draw_gains(surveyed(), instrument, level)
    with pytest.raises(HarmonyError, match="no tune"):
        draw_gains(surveyed().assign(error="none"), "guitar", 1)


def test_it_keeps_the_laws_of_figures() -> None:
    for instrument in ("ukulele", "guitar"):
        lawful(draw_gains(surveyed(), instrument, 1), (1.6, 3, 1.6, 6))


def test_rows_are_even_and_all_of_a_row_stands_level() -> None:
    sheet = draw_gains(surveyed(), "guitar", 1).sheet
    tunes = [g for g in sheet.all(Group) if g.id.startswith("tune-")]
    ys = []
    for group in tunes:
        line, ring, disc = sheet.all(Path, within=group.id)
        y = line.box.top
        ys.append(y)
        assert line.box.height == 0 and ring.fill == "paper" and disc.fill == "ink"
        # A ring stands where the line begins, a disc where it ends; both are of one size.
        assert (ring.box.middle, disc.box.middle) == (
            pytest.approx(line.points[0]),
            pytest.approx(line.points[1]),
        )
        assert ring.box.width == pytest.approx(disc.box.width) and 2 < disc.box.width < 3.5
        level = [t for t in sheet.all(Text) if abs(ink(t).middle[1] - y) < 0.3]
        assert len(level) == 3 and level[0].box.left == pytest.approx(1.5)
        assert [t.anchor for t in level] == ["left", "right", "right"]
        assert [t.weight for t in level] == [400, 600, 400]
        assert level[0].box.right + 2 < min(p.box.left for p in (ring, disc)) + 60
    steps = [b - a for a, b in itertools.pairwise(ys)]
    assert all(step == pytest.approx(steps[0]) and 5 < step < 7 for step in steps)
    lines = [p for p in sheet.all(Path) if p.stroke == "hair"]
    assert ys[0] - lines[0].box.top == pytest.approx(steps[0] / 2)
    assert lines[0].box.bottom - ys[-1] == pytest.approx(steps[0] / 2)


def test_ticks_are_even_and_hold_every_mean() -> None:
    sheet = draw_gains(surveyed(), "guitar", 1).sheet
    lines = [p for p in sheet.all(Path) if p.stroke == "hair"]
    numbers = [t for t in sheet.all(Text) if t.anchor == "center" and t.text.isdigit()]
    assert [t.x for t in numbers] == pytest.approx([p.box.left for p in lines])
    assert len({round(b.box.left - a.box.left, 3) for a, b in itertools.pairwise(lines)}) == 1
    assert lines[-1].box.left - lines[0].box.left == pytest.approx(76)
    assert 3 <= len(lines) <= 10
    means = [
        v
        for row in ours().to_dict("records")
        for v in (row["written_mean_movement"], row["mean_movement"])
    ]
    values = [int(t.text) for t in numbers]
    step = values[1] - values[0]
    assert values[0] <= min(means) < values[0] + step
    assert values[-1] - step <= max(means) <= values[-1]
    assert all(1 < ink(t).top - lines[0].box.bottom < 3 for t in numbers)


def test_heads_stand_over_their_columns_and_the_legend_below() -> None:
    sheet = draw_gains(surveyed(), "guitar", 1).sheet
    heads = {t.text: t for t in sheet.all(Text)}
    less, put_in = heads["difference"], heads["added chords"]
    axis = heads["semitones a change, all voices"]
    assert less.baseline == put_in.baseline == axis.baseline
    lines = [p for p in sheet.all(Path) if p.stroke == "hair"]
    assert 1.5 < lines[0].box.top - axis.baseline < 4
    assert axis.x == pytest.approx((lines[0].box.left + lines[-1].box.left) / 2)
    row = [t for t in sheet.all(Text) if t.anchor == "right" and t.size == 8.5]
    assert {t.x for t in row} == {less.x, put_in.x} and put_in.x - less.x > 15
    assert 1 < sheet.width - put_in.box.right < 2 and less.x > lines[-1].box.left + 8
    own, moved = (
        next(t for t in sheet.all(Text) if t.text.startswith(start))
        for start in ("the tune’s own", "with the moves")
    )
    samples = [p for p in sheet.parts if isinstance(p, Path) and p.fill]
    assert [p.fill for p in samples] == ["paper", "ink"]
    for sample, text in zip(samples, (own, moved), strict=True):
        assert ink(text).middle[1] == pytest.approx(sample.box.middle[1], abs=0.1)
        assert 1 < text.box.left - sample.box.right < 2.5
        assert sample.box.width == pytest.approx(2.6)
    assert 3 < samples[1].box.left - own.box.right < 7
    (count,) = [t for t in sheet.all(Text) if t.text == "3 tunes"]
    assert count.box.left == pytest.approx(1.5) and 4 < count.baseline - own.baseline < 7
    assert (
        2
        < ink(own).top
        - max(t.baseline for t in sheet.all(Text) if t.anchor == "center" and t.text.isdigit())
        < 6
    )
    title = heads["Voice movement with the moves: guitar, level 1"]
    assert title.box.left == pytest.approx(1.5) and title.baseline < axis.baseline - 5


def test_a_gain_has_the_sign_of_what_it_takes_away() -> None:
    from harmonykit.draw.plots.survey_tunes import _signed

    assert [_signed(gain) for gain in (1.26, -0.5, 0.04, -0.04, 0.0)] == [
        "−1.3", "+0.5", "0.0", "0.0", "0.0",
    ]  # fmt: skip


def test_only_five_tunes_are_spoken() -> None:
    table = pd.concat(
        [
            surveyed().assign(title=lambda t, n=n: t["title"] + f" {n}", file=str(n))
            for n in range(2)
        ]
    )
    alt = draw_gains(table, "guitar", 1).alt
    assert alt.endswith("; 6 tunes in all") and alt.count(" to ") == 5
    assert "tunes in all" not in draw_gains(surveyed(), "guitar", 1).alt
    assert "6 tunes" in draw_gains(table, "guitar", 1).sheet.texts


def test_rows_and_legend_stand_where_they_are_counted() -> None:
    """By hand: 16 mm down, 5.6 a row; columns at 62, 153 and 172.5; the legend 10 below."""
    sheet = draw_gains(surveyed(), "guitar", 1).sheet
    rows = [g for g in sheet.all(Group) if g.id.startswith("tune-")]
    ys = [sheet.all(Path, within=g.id)[0].box.top for g in rows]
    assert ys == pytest.approx([16 + 5.6 * (n + 0.5) for n in range(len(rows))])
    ground = 16 + 5.6 * len(rows)
    hairs = [p for p in sheet.all(Path) if p.stroke == "hair"]
    assert {(round(p.box.top, 6), round(p.box.bottom, 6)) for p in hairs} == {
        (16.0, round(ground, 6))
    }
    assert (hairs[0].box.left, hairs[-1].box.left) == pytest.approx((62, 138))
    assert {p.width for p in hairs} == {0.12}
    numbers = [t for t in sheet.all(Text) if t.anchor == "center" and t.text.isdigit()]
    assert {round(t.baseline - ground, 6) for t in numbers} == {4.2}
    heads = {t.text: t for t in sheet.all(Text) if t.baseline == pytest.approx(16 - 2.6)}
    assert {(text, t.x) for text, t in heads.items()} == {
        ("difference", 153.0),
        ("added chords", 172.5),
        ("semitones a change, all voices", 100.0),
    }
    ring, disc = [p for p in sheet.parts if isinstance(p, Path) and p.fill]
    assert ring.box.middle == pytest.approx((3, ground + 10))
    assert disc.box.middle[1] == pytest.approx(ground + 10)
    own, moved = [t for t in sheet.all(Text) if abs(ink(t).middle[1] - ground - 10) < 0.1]
    assert own.x == 6.0 and moved.x - disc.box.middle[0] == pytest.approx(3)
    assert disc.box.middle[0] - own.box.right == pytest.approx(6)
    (count,) = [t for t in sheet.all(Text) if t.text.endswith(" tunes")]
    assert ink(count).middle[1] - ink(own).middle[1] == pytest.approx(5.4)
    assert sheet.height == pytest.approx(ground + 21)
    # A name of a tune leaves 5 mm before the first line; what has no room is cut.
    long = surveyed().assign(title=lambda t: t["title"] + " with a name much too long for its row")
    for text in draw_gains(long, "guitar", 1).sheet.all(Text):
        if "…" in text.text:
            assert 62 - 8 < text.box.right <= 62 - 3 and text.text.count(", ") == 1
