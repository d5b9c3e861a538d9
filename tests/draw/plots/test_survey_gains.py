"""The ranking of tunes: its order, its numbers, and that it fits."""

from __future__ import annotations

import pandas as pd
import pytest
from survey_tables import inside, surveyed, texts

from harmonykit.arrange.survey import gains
from harmonykit.draw.plots.survey_gains import draw_gains
from harmonykit.draw.tree import Path, Text
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
        with pytest.raises(HarmonyError, match="no tune of the survey has numbers"):
            draw_gains(surveyed(), instrument, level)
    with pytest.raises(HarmonyError, match="no tune"):
        draw_gains(surveyed().assign(error="none"), "guitar", 1)
