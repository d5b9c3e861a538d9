"""The map of a tune's keys: what it says, not by colour alone, and that it fits."""

from __future__ import annotations

from itertools import pairwise

import pytest
from lawful import ink, lawful
from survey_tables import inside, surveyed, texts

from harmonykit.arrange.survey import best_keys, class_keys
from harmonykit.draw.plots.survey_map import draw_key_map, in_fifths
from harmonykit.draw.tree import Group, Path, Sheet, Text
from harmonykit.errors import HarmonyError


def test_it_names_the_best_key_of_every_hand_and_of_all() -> None:
    table = surveyed()
    title = "Oarlock Reel 37"
    drawing = draw_key_map(table, title)
    best = best_keys(table[table["title"] == title])
    together = class_keys(table[table["title"] == title])
    shown = texts(drawing)
    # Each hand and the legend; for all of them the figure of the one that is worst off.
    assert shown.count("best") == len(best) + 1 + int(together["over"].iloc[0] == 0)
    assert together["over"].iloc[0] == 0 or f"+{together['over'].iloc[0]:.0f}" in shown
    for key in [*best["key"], *together["key"]]:
        assert key in drawing.alt and key in shown
    assert drawing.alt.startswith(
        f"The best keys for {title}, ranked by difficulty as written. ukulele, level 1: "
    )


def test_each_cell_says_how_much_more() -> None:
    table = surveyed()
    title = "Oarlock Reel 37"
    rows = table[(table["title"] == title) & (table["instrument"] == "ukulele")]
    least = rows["cost"].min()
    wanted = {f"+{100 * (cost / least - 1):.0f}" for cost in rows["cost"] if cost > least}
    assert wanted <= set(texts(draw_key_map(rows, by="cost")))


@pytest.mark.parametrize("palette", ["colour", "one ink", "dark", "print"])
def test_it_fits_and_is_the_same_in_every_palette(palette: str) -> None:
    drawing = draw_key_map(surveyed(), "Oarlock Reel 37", palette=palette)
    inside(drawing)
    assert texts(drawing) == texts(draw_key_map(surveyed(), "Oarlock Reel 37"))


def test_a_long_title_and_a_single_key_fit() -> None:
    table = surveyed()
    rows = table[(table["title"] == "Oarlock Reel 37") & (table["key"] == "C minor")]
    drawing = draw_key_map(rows.assign(title="The Song of the Very Long Harbour Wall " * 4))
    inside(drawing)
    assert drawing.alt.endswith("C minor")


def test_shades_grow_lighter_and_corners_mark_what_is_past() -> None:
    table = surveyed()
    rows = table[(table["title"] == "Oarlock Reel 37") & (table["instrument"] == "ukulele")]
    drawn = draw_key_map(rows.assign(past=0), by="cost")
    strained = draw_key_map(rows.assign(past=[0] + [1] * 11), by="cost")
    assert {path.opacity for path in drawn.sheet.all(Path)} == {0.12, 0.3, 1}
    corners = [
        sum(path.fill != "" and len(path.points) == 3 for path in figure.sheet.all(Path))
        for figure in (drawn, strained)
    ]
    # One in the legend; and one for each key past the limits.
    assert corners == [1, 12]


def test_keys_stand_in_the_order_of_fifths() -> None:
    """Each key has one sharp more, or one flat less, than the one before (circle of fifths)."""
    major = in_fifths([f"{name} major" for name in "C Db D Eb E F Gb G Ab A Bb B".split()])
    assert " ".join(name.split()[0] for name in major) == "Gb Db Ab Eb Bb F C G D A E B"
    minor = in_fifths([f"{name} minor" for name in "C C# D Eb E F F# G G# A Bb B".split()])
    assert " ".join(name.split()[0] for name in minor) == "Eb Bb F C G D A E B F# C# G#"


def test_what_cannot_be_drawn() -> None:
    table = surveyed()
    with pytest.raises(HarmonyError, match="0 tunes are called"):
        draw_key_map(table, "Nobody's")
    with pytest.raises(HarmonyError, match="has no results"):
        draw_key_map(table[table["title"] == "Oarlock Reel 37"].assign(error="no"))
    with pytest.raises(HarmonyError, match="is not a measure"):
        draw_key_map(table, "Oarlock Reel 37", by="fun")


def test_what_the_figures_are_stands_at_the_right_edge() -> None:
    sheet = draw_key_map(surveyed(), "Oarlock Reel 37").sheet
    (told,) = [text for text in sheet.all(Text) if text.text.startswith("percent more ")]
    (title,) = [text for text in sheet.all(Text) if text.text == "Oarlock Reel 37"]
    assert sheet.width - told.box.right == pytest.approx(1.5, abs=0.01)
    assert told.baseline == title.baseline and title.box.right < told.box.left


def one_tune() -> Sheet:
    table = surveyed()
    rows = table[(table["title"] == "Oarlock Reel 37") & (table["instrument"] == "ukulele")]
    drawing = draw_key_map(rows, by="cost")
    lawful(drawing, (1.6, 3, 3, 2))
    return drawing.sheet


def test_it_keeps_the_laws_of_figures() -> None:
    lawful(draw_key_map(surveyed(), "Oarlock Reel 37"), (1.6, 3, 1.6, 2))
    one_tune()


def test_cells_stand_in_even_columns_under_their_keys() -> None:
    for sheet in (one_tune(), draw_key_map(surveyed(), "Oarlock Reel 37").sheet):
        rows = [g for g in sheet.all(Group) if g.id.startswith("line-")]
        heads = [
            t
            for t in sheet.all(Text)
            if t.weight == 600 and t.anchor == "center" and t.baseline < 15
        ]
        assert len(heads) == 12
        steps = {round(b.x - a.x, 3) for a, b in pairwise(heads)}
        assert len(steps) == 1
        step = steps.pop()
        for row in rows:
            figures = [t for t in sheet.all(Text, within=row.id)]
            assert [t.x for t in figures] == pytest.approx([t.x for t in heads])
            boxes = [p for p in sheet.all(Path, within=row.id) if p.fill and len(p.points) == 4]
            for box in boxes:
                # Each cell fills its column but for a hair's breadth at each side.
                assert 0.9 * step < box.box.width < step
                assert min(abs(box.box.middle[0] - t.x) for t in heads) < 0.01
            ys = {round(ink(t).middle[1], 1) for t in figures}
            assert len(ys) == 1
            name = [
                t
                for t in sheet.all(Text)
                if t.anchor == "left"
                and t.box.left < 2
                and abs(ink(t).middle[1] - ys.copy().pop()) < 0.3
            ]
            assert len(name) == 1
            assert 2 < heads[0].x - step / 2 - name[0].box.right or len(rows) > 1
        # Rows follow each other with a hair between; the last, for all, a little apart.
        tops = [min(p.box.top for p in sheet.all(Path, within=row.id)) for row in rows]
        gaps = [b - a for a, b in pairwise(tops)]
        if gaps:
            assert len({round(gap, 3) for gap in gaps[:-1]}) == 1
            assert 1 < gaps[-1] - gaps[0] < 2.5


def test_the_written_key_is_underlined_as_wide_as_its_name() -> None:
    table = surveyed()
    written = table[table["title"] == "Oarlock Reel 37"]["written"].iloc[0].split()[0]
    sheet = one_tune()
    heads = [
        t for t in sheet.all(Text) if t.weight == 600 and t.anchor == "center" and t.baseline < 15
    ]
    (head,) = [
        t for t in heads if t.text.rstrip("m").replace("♭", "b").replace("♯", "#") == written
    ]
    (line,) = [p for p in sheet.all(Path) if p.stroke == "ink"]
    assert (line.box.left, line.box.right) == pytest.approx((head.box.left, head.box.right))
    assert 0.8 < line.box.top - head.baseline < 1.8 and line.width == 0.5


def test_shade_and_frame_of_a_cell_are_one_square_and_its_corner_touches() -> None:
    table = surveyed()
    rows = table[(table["title"] == "Oarlock Reel 37") & (table["instrument"] == "ukulele")]
    sheet = draw_key_map(rows.assign(past=1), by="cost").sheet
    row = sheet.all(Path, within="line-0")
    frames = [p for p in row if p.stroke == "hair"]
    shades = [p for p in row if p.fill == "ink" and len(p.points) == 4 and p.opacity < 1]
    assert frames and len(frames) == 11
    assert all(min(p.width for p in frames) == p.width <= 0.25 for p in frames)
    for shade in shades:
        assert any(shade.box == frame.box for frame in frames)
    assert all(len(frame.points) == 5 and frame.points[0] == frame.points[-1] for frame in frames)
    ears = [p for p in row if p.fill and len(p.points) == 3]
    assert len(ears) == 12
    for ear in ears:
        # A right angle at the cell's upper right corner.
        assert ear.box.width == pytest.approx(ear.box.height) and 1.5 < ear.box.width < 2.5
        corner = ear.box.right, ear.box.top
        assert corner in {(round(x, 9), round(y, 9)) for x, y in ear.points} or corner in ear.points
        squares = [p.box for p in row if len(p.points) >= 4]
        assert any(corner == pytest.approx((b.right, b.top)) for b in squares)
    # On the solid cell it is of the paper's colour.
    assert sorted(ear.fill for ear in ears) == ["ink"] * 11 + ["paper"]


def test_a_cell_is_darker_the_nearer_it_is_to_the_best() -> None:
    """At most 5 % more, at most 15 %, and what is above: the legend says so."""
    table = surveyed()
    rows = table[(table["title"] == "Oarlock Reel 37") & (table["instrument"] == "ukulele")]
    least = 1000.0
    over = [0, 4.9, 5.2, 14.9, 15.2, 40, 41, 42, 43, 44, 45, 46]
    figure = draw_key_map(
        rows.assign(cost=[least * (1 + o / 100) for o in over], past=0), by="cost"
    )
    sheet = figure.sheet
    dark = {}
    for text in sheet.all(Text, within="line-0"):
        under = [
            p
            for p in sheet.all(Path, within="line-0")
            if p.fill and abs(p.box.middle[0] - text.x) < 0.01
        ]
        dark[text.text, round(text.x)] = under[0].opacity if under else 0.0
    shades = sorted(dark.values(), reverse=True)
    best, near, *far = shades
    assert best == 1.0 and near > far[0] == far[1] > 0 and near >= 2 * far[0]
    assert set(far[2:]) == {0.0} and len(far) == 10
    assert {"up to 5 %", "up to 15 %"} <= set(sheet.texts)


def test_the_legend_shows_each_kind_of_cell_beside_its_words() -> None:
    sheet = draw_key_map(surveyed(), "Oarlock Reel 37", by="cost").sheet
    words = ["the best key", "up to 5 %", "up to 15 %"]
    said = [next(t for t in sheet.all(Text) if t.text == word) for word in words]
    said.append(next(t for t in sheet.all(Text) if "limits" in t.text))
    samples = [
        t
        for t in sheet.all(Text)
        if t.text in ("best", "+3", "+9", "+22")
        and abs(ink(t).middle[1] - ink(said[0]).middle[1]) < 0.3
    ]
    assert [t.text for t in samples] == ["best", "+3", "+9", "+22"]
    for sample, text in zip(samples, said, strict=True):
        # Half a cell of 9.6 mm, and a little air.
        assert 0.8 < text.box.left - (sample.x + 4.8) < 1.6
    for text, after in pairwise(zip(said, samples, strict=True)):
        assert 3 < after[1].x - 4.8 - text[0].box.right < 5
    (note,) = [t for t in sheet.all(Text) if t.text.startswith("underlined")]
    assert note.box.left == pytest.approx(1.5) and ink(note).top > said[0].baseline + 1
    rows = [g for g in sheet.all(Group) if g.id.startswith("line-")]
    lowest = max(p.box.bottom for row in rows for p in sheet.all(Path, within=row.id))
    tops = min(p.box.top for p in sheet.all(Path) if p.box.top > lowest)
    assert 2 < tops - lowest < 4


def test_the_best_key_is_named_at_the_end_of_its_line() -> None:
    sheet = draw_key_map(surveyed(), "Oarlock Reel 37", by="cost").sheet
    for row in (g for g in sheet.all(Group) if g.id.startswith("line-")):
        right = max(p.box.right for p in sheet.all(Path, within=row.id))
        middle = ink(sheet.all(Text, within=row.id)[0]).middle[1]
        ends = [
            t
            for t in sheet.all(Text)
            if t.anchor == "left"
            and t.weight == 600
            and abs(ink(t).middle[1] - middle) < 0.3
            and t.box.left > right
        ]
        assert len(ends) == 1 and 1.5 < ends[0].box.left - right < 3.5


def test_the_figure_is_no_wider_than_keys_and_their_names_need() -> None:
    """Two millimetres behind the last cell stands the best key, then little more than an edge."""
    sheet = draw_key_map(surveyed(), "Oarlock Reel 37", by="cost").sheet
    rows = [g for g in sheet.all(Group) if g.id.startswith("line-")]
    right = max(p.box.right for row in rows for p in sheet.all(Path, within=row.id))
    names = [t for t in sheet.all(Text) if t.x > right and t.weight == 600]
    assert len(names) == len(rows)
    assert {round(t.x - right, 2) for t in names} == {2.35}
    # The first row begins 16.5 mm down, a hair's breadth more to its cells.
    assert min(p.box.top for p in sheet.all(Path, within="line-0")) == pytest.approx(16.85)
    assert 0.5 < sheet.width - max(t.box.right for t in names) < 9.5
    labels = [t for t in sheet.all(Text) if t.x == 1.5 and t.size == 10.0 and t.baseline > 16]
    left = min(p.box.left for row in rows for p in sheet.all(Path, within=row.id))
    # The longest name of a row stands 3 mm before the cells.
    assert left - max(t.box.right for t in labels) == pytest.approx(3.35, abs=0.01)
