"""The map of a tune's keys: what it says, not by colour alone, and that it fits."""

from __future__ import annotations

import pytest
from survey_tables import inside, surveyed, texts

from harmonykit.arrange.survey import best_keys, class_keys
from harmonykit.draw.plots.survey_map import draw_key_map, in_fifths
from harmonykit.draw.tree import Path, Text
from harmonykit.errors import HarmonyError


def test_it_names_the_best_key_of_every_hand_and_of_all() -> None:
    table = surveyed()
    title = "Slipway Jig 19"
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
        f"The best keys of {title} by difficulty as written. ukulele, level 1: "
    )


def test_each_cell_says_how_much_more() -> None:
    table = surveyed()
    title = "Slipway Jig 19"
    rows = table[(table["title"] == title) & (table["instrument"] == "ukulele")]
    least = rows["cost"].min()
    wanted = {f"+{100 * (cost / least - 1):.0f}" for cost in rows["cost"] if cost > least}
    assert wanted <= set(texts(draw_key_map(rows, by="cost")))


@pytest.mark.parametrize("palette", ["colour", "one ink", "dark", "print"])
def test_it_fits_and_is_the_same_in_every_palette(palette: str) -> None:
    drawing = draw_key_map(surveyed(), "Slipway Jig 19", palette=palette)
    inside(drawing)
    assert texts(drawing) == texts(draw_key_map(surveyed(), "Slipway Jig 19"))


def test_a_long_title_and_a_single_key_fit() -> None:
    table = surveyed()
    rows = table[(table["title"] == "Slipway Jig 19") & (table["key"] == "C minor")]
    drawing = draw_key_map(rows.assign(title="The Song of the Very Long Harbour Wall " * 4))
    inside(drawing)
    assert drawing.alt.endswith("C minor")


def test_shades_grow_lighter_and_corners_mark_what_is_past() -> None:
    table = surveyed()
    rows = table[(table["title"] == "Slipway Jig 19") & (table["instrument"] == "ukulele")]
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
    with pytest.raises(HarmonyError, match="has no numbers"):
        draw_key_map(table[table["title"] == "Slipway Jig 19"].assign(error="no"))
    with pytest.raises(HarmonyError, match="is not a measure"):
        draw_key_map(table, "Slipway Jig 19", by="fun")


def test_what_the_figures_are_stands_at_the_right_edge() -> None:
    sheet = draw_key_map(surveyed(), "Slipway Jig 19").sheet
    (told,) = [text for text in sheet.all(Text) if text.text.startswith("percent more ")]
    (title,) = [text for text in sheet.all(Text) if text.text == "Slipway Jig 19"]
    assert sheet.width - told.box.right == pytest.approx(1.5, abs=0.01)
    assert told.baseline == title.baseline and title.box.right < told.box.left
