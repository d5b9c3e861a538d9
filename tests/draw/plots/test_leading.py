"""The voices as lines: pitch by plane geometry, what stays and what goes."""

from __future__ import annotations

import math

import pytest
from lawful import ink, lawful
from plotted import TUNES, ways_of
from small_arrangements import _arranged
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


def test_voices_turn_just_before_the_change_and_begin_with_a_dot() -> None:
    """By hand: C6 G4 C4 E4 A4, F A4 C4 F4 A4, 1.5 mm a semitone; two bars of 72 mm behind 7.

    The first moment of a bar stands 2.6 mm behind its line; a voice turns in the last 2.4 mm.
    """
    sheet = draw_leading(_arranged("C6=0000 F:2=2010 | C6=0000")).sheet
    paths = sheet.all(Path, within="voices-1")
    starts, ends = (9.6, 44.3, 81.6), (44.3, 81.6, 151.0)
    sounding = ((60, 64, 67, 69), (60, 65, 69), (60, 64, 67, 69))

    def y(pitch: int) -> float:
        return 4 + 1.6 + 1.5 * (69 - pitch)

    lines, dots = [], []
    for place, (start, end, pitches) in enumerate(zip(starts, ends, sounding, strict=True)):
        turn = 2.4 if place < 2 else 0.0
        lines += [((start, y(p)), (end - turn, y(p))) for p in pitches]
        dots += [(start, y(p)) for p in pitches]
    level = [p for p in paths if p.width == 0.3 and p.cap == "butt"]
    assert [p.ends for p in level] == [(pytest.approx(a), pytest.approx(b)) for a, b in lines]
    discs = [p.box for p in paths if p.fill == "ink"]
    assert [b.middle for b in discs] == [pytest.approx(spot) for spot in dots]
    assert {round(b.width, 6) for b in discs} == {1.2}
    turns = [p for p in paths if p.cap == "round"]
    assert sorted((round(a[0], 6), round(a[1], 6), b[0], b[1], p.width)
                  for p in turns for a, b in [p.ends]) == [
        pytest.approx(row) for row in sorted(
            (x - 2.4, y(low), x, y(high), 0.3 if low == high else 0.8)
            for x, pairs in ((44.3, ((60, 60), (64, 65), (67, 69), (69, 69))),
                             (81.6, ((60, 60), (65, 64), (69, 67), (69, 69))))
            for low, high in pairs
        )
    ]  # fmt: skip
    hairs = [p for p in paths if p.stroke == "hair"]
    bars, octave = hairs
    assert [stroke[0] for stroke in bars.strokes()] == [(7, 4), (79, 4), (151, 4)]
    assert [stroke[1] for stroke in bars.strokes()] == [
        pytest.approx((x, 4 + 3.2 + 13.5)) for x in (7, 79, 151)
    ]
    assert octave.ends == (pytest.approx((7, y(60))), pytest.approx((151, y(60))))
    (name,) = sheet.all(Text, within="voices-1")
    assert (name.text, name.anchor, name.x) == ("C4", "right", pytest.approx(5.8))
    assert ink(name).middle[1] == pytest.approx(y(60), abs=0.05)
    # A mm below the voices begins the lane of distances, with room for figures and 13 mm of stems.
    lane = sheet.all(Path, within="distances-1")
    ground = next(p for p in lane if p.width == 0.25 and p.box.width == 144)
    stem = next(p for p in lane if p.width == 0.5 and p.box.width == 0)
    assert stem.box.bottom == pytest.approx(ground.box.top)
    # Each change is of three semitones, at 2.4 mm the most that one is high.
    assert stem.box.height == pytest.approx(3 * 2.4)
    assert ground.box.top == pytest.approx(4 + 16.7 + 1 + 5.6 + 3 * 2.4)


def test_voices_of_a_wide_row_are_drawn_closer() -> None:
    """By hand: from E2 to E5 are 36 semitones, which have 30 mm."""
    sheet = draw_leading(
        _arranged("E=0-2-2-1-0-12 E:2=022100 | E=0-2-2-1-0-12", instrument="guitar")
    ).sheet
    discs = [p.box.middle[1] for p in sheet.all(Path, within="voices-1") if p.fill == "ink"]
    assert max(discs) - min(discs) == pytest.approx(30)
    names = [t.text for t in sheet.all(Text, within="voices-1")]
    assert names == ["C3", "C4", "C5"]


def test_silence_parts_voices() -> None:
    """Where nothing sounds no voice leads on; after it each begins anew."""
    sheet = draw_leading(_arranged("C6=0000 NC:2 | F=2010")).sheet
    paths = sheet.all(Path, within="voices-1")
    assert not [p for p in paths if p.cap == "round"]
    level = [p for p in paths if p.width == 0.3]
    assert sorted({p.ends[1][0] for p in level}) == [pytest.approx(44.3), 151.0]
    assert len([p for p in paths if p.fill == "ink"]) == 7
