"""The line of the highest note: higher notes stand higher, and each phrase has its peak named."""

from __future__ import annotations

from itertools import pairwise

from harmonykit.arrange.search import reharmonise
from harmonykit.workbook.reharmonise.charts import HIGH_PX, line_parts

TUNE = "| Gm6 | Bb7 | N.C. | D7 | Gm6 | Cm6 | Eb6 D7 | Gm6 |"


def test_the_line_goes_as_the_highest_pitches_do() -> None:
    ways = reharmonise(TUNE, "ukulele", k=2, style="walking")
    pairs = []
    for way, parts in zip(ways, line_parts(ways), strict=True):
        tops = [step.voicing.top if step.voicing else None for step in way.steps]
        assert [part.start is None for part in parts] == [top is None for top in tops]
        pairs += [(t, p.start) for t, p in zip(tops, parts, strict=True) if t is not None]
        for part, after in pairwise(parts):
            assert part.end == after.start
    # Both lines have one scale: a semitone is the same everywhere.
    for (top, height), (other, lower) in pairwise(sorted(pairs)):
        assert 0 < height < HIGH_PX and (top == other) == (height == lower) and height >= lower


def test_the_peak_of_each_phrase_is_named_where_it_is_reached() -> None:
    (way,) = reharmonise(TUNE, "ukulele", k=1)
    (parts,) = line_parts([way])
    for bars in (range(4), range(4, 8)):
        inside = [(p, s) for p, s in zip(parts, way.steps, strict=True) if s.bar in bars]
        tops = [s.voicing.top if s.voicing else 0 for _, s in inside]
        named = [place for place, (part, _) in enumerate(inside) if part.name]
        assert named == [tops.index(max(tops))]
