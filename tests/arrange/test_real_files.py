"""Files as notation programs write them: ours in ``tests/data``, others in the music21 package."""

from __future__ import annotations

from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import pytest
from tables import DATA

from harmonykit.arrange.block.melody import melody_on_top
from harmonykit.arrange.clashes import added_clashes
from harmonykit.arrange.front import pareto_front
from harmonykit.arrange.measures import compare
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Demands, Wishes
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.score.files import read_tune
from harmonykit.tune.tune import Tune

UKULELE = Instrument.named("ukulele")
FILES = [
    ("bass_line.musicxml", None),
    ("lead_sheet.musicxml", None),
    ("two_reels.abc", 80),
    ("musicxml/lilypondTestSuite/71c-ChordsFrets.xml", None),
    ("musicxml/lilypondTestSuite/71d-ChordsFrets-Multistaff.xml", None),
]


def read(name: str, number: int | None) -> Tune:
    if (DATA / name).exists():
        return read_tune(DATA / name, number=number)
    found = find_spec("music21")
    assert found is not None and found.origin is not None
    return read_tune(Path(found.origin).parent / name, number=number)


@pytest.mark.parametrize(("name", "number"), FILES, ids=[name.split("/")[-1] for name, _ in FILES])
def test_a_real_file_from_end_to_end(name: str, number: int | None) -> None:
    tune = read(name, number)
    written = reharmonise(tune, UKULELE, (), 1)[0]
    free = reharmonise(tune, UKULELE, tuple(MOVES), 1)[0]
    clean = reharmonise(
        tune, UKULELE, tuple(MOVES), 1, wishes=Wishes(demands=Demands(no_added_clashes=True))
    )[0]
    for way in (written, free, clean):
        reached = Fraction(0)
        for step in way.steps:
            assert step.onset == reached
            reached += step.beats
            if step.voicing is not None and step.chord is not None:
                assert {p % 12 for p in step.voicing.sounding} <= set(step.chord.pcs)
        assert reached == tune.length
    assert not added_clashes(written) and not added_clashes(clean)
    assert len(compare([written, free, clean])) == 3
    assert free.cost <= clean.cost
    front = pareto_front(tune, UKULELE)
    assert front.points and min(point.values[2] for point in front.points) == 0
    if tune.melody:
        on_top = melody_on_top(tune, UKULELE)
        assert sum(step.beats for step in on_top.arrangement.steps) == tune.length
