"""Lead sheets of arrangements: the steps' chords at their places, for every reader."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.score import lead_sheet, part_musicxml
from harmonykit.arrange.search import reharmonise
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.score.lead import PARTS

Arranged = Callable[..., Arrangement]


def test_the_chords_are_those_of_the_steps(arranged: Arranged) -> None:
    sheet = lead_sheet(arranged("C=0003 F:2=2010 | F=2010 | NC | C=0003", tempo=90))
    found = [(c.chord and c.chord.symbol, c.onset, c.beats) for c in sheet.changes]
    # F lasts on over the bar line.
    assert found == [("C", 0, 2), ("F", 2, 6), (None, 8, 4), ("C", 12, 4)]
    assert sheet.tempo == 90


@pytest.mark.parametrize("part", PARTS)
def test_every_part_sounds_the_same(part: str, tmp_path: Path) -> None:
    tune = read_tune(find_data("tunes", "heron_landing"))
    arrangement = reharmonise(tune, Instrument.named("ukulele"), k=1)[0]
    path = tmp_path / "part.musicxml"
    path.write_text(part_musicxml(arrangement, part), encoding="utf-8")
    found = read_tune(path).changes
    wanted = [
        step
        for index, step in enumerate(arrangement.steps)
        if index == 0 or step.chord != arrangement.steps[index - 1].chord
        or _new_section(arrangement, index)
    ]  # fmt: skip
    assert [change.onset for change in found] == [step.onset for step in wanted]
    for change, step in zip(found, wanted, strict=True):
        here, there = change.chord, step.chord
        assert here is not None and there is not None
        # A part that is written higher has no root with a double sharp.
        respelled = str(there.root) in ("E#", "A#", "B#") and part in ("Bb", "Eb")
        assert here == there or (respelled and here.pcs == there.pcs), (here, there)


def _new_section(arrangement: Arrangement, index: int) -> bool:
    playing, bar = arrangement.tune.playing, arrangement.steps[index].bar
    starts = arrangement.steps[index].onset == playing[bar].onset
    return starts and bar > 0 and playing[bar - 1].section != playing[bar].section
