"""The voices as lines: pitch by plane geometry, what stays and what goes."""

from __future__ import annotations

import math

import pytest
from lawful import lawful
from plotted import TUNES, ways_of
from small_tunes import tune_of

from harmonykit.arrange.movement import movements
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.draw.plots.leading import draw_leading
from harmonykit.draw.tree import Path, Text
from harmonykit.errors import HarmonyError


@pytest.mark.parametrize(
    ("tune", "instrument", "width"),
    [*((tune, "ukulele", width) for tune in TUNES for width in (152.0, 90.0))]
    + [("slack_water_waltz", "guitar", 90.0)],
)
def test_no_two_texts_touch_and_none_is_cut(tune: str, instrument: str, width: float) -> None:
    for way in ways_of(tune, instrument)[1:]:
        lawful(draw_leading(way, width_mm=width), (7.1, 2.5, 2.6, 4.0))


def test_a_voice_that_stays_is_thin_and_one_that_goes_is_thick() -> None:
    """Every pitch of every change, read back from the lines' heights: 1.5 mm a semitone."""
    way = ways_of("heron_landing")[1]
    sheet = draw_leading(way, bars=(1, 8)).sheet
    parts = sheet.all(Path, within="voices-1")
    thick = [p.ends for p in parts if p.width == 0.8]
    moved = [each for each in movements(way) if each.number <= 8]
    goes = sorted((a, b) for each in moved for a, b in {*each.voices} if a != b)
    step = next(
        abs(y1 - y0) / abs(a - b)
        for (_, y0), (_, y1) in thick
        for a, b in [max(goes, key=lambda pair: abs(pair[0] - pair[1]))]
        if math.isclose(abs(y1 - y0), 1.5 * abs(a - b), abs_tol=1e-6)
    )
    assert step == pytest.approx(1.5)
    rises = sorted(round((y0 - y1) / 1.5) for (_, y0), (_, y1) in thick)
    assert rises == sorted(b - a for a, b in goes)
    # Each line ends where its chord begins, upon the stem of its change.
    stems = {
        round(p.box.left, 3)
        for p in sheet.all(Path, within="distances-1")
        if p.width == 0.5 and p.box.width == 0
    }
    assert {round(end[0], 3) for _, end in thick} <= stems


def test_every_c_is_a_line_with_its_name() -> None:
    """The C above the ukulele's C string is C5; a guitar has C3 and C4 (C4 is the middle one)."""
    texts = draw_leading(ways_of("heron_landing")[0]).sheet.texts
    assert "C5" in texts and "C6" not in texts
    sheet = draw_leading(ways_of("slack_water_waltz", "guitar")[0]).sheet
    labels = [t for t in sheet.all(Text, within="voices-1") if t.text in ("C3", "C4", "C5")]
    ups = {t.text: t.baseline for t in labels}
    assert ups["C3"] > ups["C4"]


def test_it_says_what_the_voices_do_together() -> None:
    """By hand: on the ukulele C7 0-0-0-1 falls to F6 ... : counted from the pitches here."""
    (way,) = reharmonise(
        tune_of("| C6 | A7 | Dm7 | G7 |"), "ukulele", (), k=1, wishes=Wishes(name="four")
    )
    moved = movements(way)
    stays = sum(any(a == b for a, b in each.voices) for each in moved)
    one_way = sum(
        all(b > a for a, b in each.voices) or all(b < a for a, b in each.voices) for each in moved
    )
    alt = draw_leading(way).alt
    assert alt.startswith(f"four: {len(moved)} changes, ")
    assert alt.endswith(
        f"In {stays} of {len(moved)} changes a voice stays; "
        f"in {one_way} all voices move in the same direction."
    )


def test_what_cannot_be_drawn_is_refused() -> None:
    (way,) = reharmonise(tune_of("| C6 | N.C. |"), "ukulele", (), k=1)
    with pytest.raises(HarmonyError, match="no chord sounds"):
        draw_leading(way, bars=(2, 2))
    assert "keeps one shape" in draw_leading(way, bars=(1, 1)).alt


@pytest.mark.parametrize("instrument", ["ukulele", "guitar", "mandolin"])
def test_the_lines_of_the_c_are_those_between_the_lowest_and_the_highest_note(
    instrument: str,
) -> None:
    """MIDI 60 is C4, of every octave twelve more; each note is as far from its C as it is high."""
    for text in ("| C6 | A7 | Dm7 | G7 |", "| Eb | Bb7 |"):
        (way,) = reharmonise(tune_of(text), instrument, (), k=1)
        sheet = draw_leading(way).sheet
        pitches = [pitch for step in way.steps for pitch in step.sounds]
        wanted = {f"C{n - 1}": 12 * n for n in range(11) if min(pitches) <= 12 * n <= max(pitches)}
        lines = [p.box.top for p in sheet.all(Path, within="voices-1") if p.width == 0.15]
        labels = [
            t for t in sheet.all(Text, within="voices-1") if t.text in {f"C{n}" for n in range(9)}
        ]
        assert {t.text for t in labels} == set(wanted)
        dots = sorted(
            {round(p.box.middle[1], 4) for p in sheet.all(Path, within="voices-1") if p.fill}
        )
        step = (dots[-1] - dots[0]) / (max(pitches) - min(pitches))
        for label in labels:
            high = dots[0] + (max(pitches) - wanted[label.text]) * step
            assert min(abs(y - high) for y in lines) < 0.01 and abs(label.box.middle[1] - high) < 1
