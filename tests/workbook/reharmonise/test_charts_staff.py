"""Some bars of a score: the right ones, with clef, key and metre as they then are."""

from __future__ import annotations

from xml.etree.ElementTree import fromstring

import music21
import pytest

from harmonykit.arrange.score import shape_score
from harmonykit.draw.staves.engraving import engrave
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.score.score import Score
from harmonykit.workbook.reharmonise import charts
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import find_best

TUNE = """format = 1
title = "Forty Bars"
key = "Bb"
meter = "4/4"
[[sections]]
name = "A"
changes = "| Bb6 | Gm7 | {3/4} Cm7 | F7 |"
[[sections]]
name = "B"
changes = "| Bb6 | Eb6 |"
"""


@pytest.fixture(scope="module")
def score() -> Score:
    text = TUNE.replace('meter = "4/4"', 'meter = "4/4"\nform = ["A", "B", "A", "B", "A", "B"]')
    row = find_best(ReharmoniseState(text=text, best=1), lambda done, total: None).rows[0]
    return shape_score(row.arrangement)


@pytest.mark.parametrize("first", [0, 5, 16])
def test_the_bars_cut_out_are_those_of_the_whole(
    score: Score, first: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """music21 reads both, and finds the same notes, key and metre."""
    seen: list[str] = []
    monkeypatch.setattr(
        charts, "engrave", lambda xml, *a, **k: seen.append(xml) or engrave(xml, *a, **k)
    )
    charts.staff_of(score, first)
    part = music21.converter.parseData(seen[0], format="musicxml").parts[-1]
    whole = music21.converter.parseData(write_musicxml(score), format="musicxml").parts[-1]
    bars = list(whole.getElementsByClass("Measure"))[first : first + charts.BARS]
    cut = list(part.getElementsByClass("Measure"))
    assert len(cut) == len(bars)
    for one, other in zip(cut, bars, strict=True):
        names = [[p.nameWithOctave for p in c.pitches] for c in one.notes]
        assert names == [[p.nameWithOctave for p in c.pitches] for c in other.notes]
    assert cut[0].keySignature.sharps == -2
    before = [bar for bar in whole.getElementsByClass("Measure") if bar.offset <= bars[0].offset]
    meters = [bar.timeSignature.ratioString for bar in before if bar.timeSignature]
    assert cut[0].timeSignature.ratioString == meters[-1]


def test_it_is_engraved_with_its_shapes(score: Score) -> None:
    root = fromstring(charts.staff_of(score, 0))
    measures = [each for each in root.iter() if each.get("class") == "measure"]
    assert len(measures) == charts.BARS
