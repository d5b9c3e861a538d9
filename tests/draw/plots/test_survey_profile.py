"""The keys on the whole: means, whiskers, counts, and that it fits."""

from __future__ import annotations

import pandas as pd
import pytest
from survey_tables import inside, surveyed, texts

from harmonykit.arrange.survey import key_profile
from harmonykit.draw.plots.survey_profile import draw_key_profile
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
    with pytest.raises(HarmonyError, match="6 hands to draw"):
        draw_key_profile(more)


def test_a_corner_marks_keys_past_the_limits() -> None:
    plain, strained = (
        draw_key_profile(two_tunes().assign(past=past), by="cost") for past in (0, 1)
    )
    assert len(strained.sheet.all(Path)) - len(plain.sheet.all(Path)) == 24


def test_what_cannot_be_drawn() -> None:
    with pytest.raises(HarmonyError, match="0 hands"):
        draw_key_profile(two_tunes(), "minor")
