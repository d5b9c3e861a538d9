"""Print the figures of arrangements as a player would count them: ``evaluate_lines.py``.

Each line is one way of asking, over all tunes of ``played_tunes`` on one instrument.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, pairwise, product
from pathlib import Path

import numpy as np
from played_tunes import played_tunes

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.clashes import AVOID_NOTE, added_clashes
from harmonykit.arrange.line_figures import LineFigures, line
from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import Wishes
from harmonykit.fretboard.hands import travel
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.tune.tune import Tune

INSTRUMENTS = ("ukulele", "guitar")
_GOOD_TURNS = (1, 4)


@dataclass(frozen=True)
class Way:
    """A way of asking for an arrangement."""

    name: str
    moves: tuple[str, ...]
    style: str = "usual"
    textures: Mapping[str, str] = field(default_factory=dict)

    def played(self, tune: Tune, instrument: str) -> Arrangement:
        """Return the best arrangement of a tune."""
        asked = Wishes(style=self.style, texture=self.textures.get(instrument, ""))
        return reharmonise(tune, instrument, self.moves, k=1, wishes=asked)[0]


WAYS = (
    Way("as written", ()),
    # Guide tones: what an instrument has that is nearest to the shells of a guitar.
    Way("guide tones", (), textures={"guitar": "shells", "ukulele": "two strings"}),
    Way("by default", USUAL),
    Way("all moves", tuple(MOVES)),
    Way("walking", moves_of("walking"), "walking"),
    Way("rich", moves_of("rich"), "rich"),
)


def figures(_: Path | None = None) -> Iterator[str]:
    """Yield the figures, a line each."""
    tunes = list(played_tunes())
    yield f"arrangements: {len(tunes)} tunes, {sum(tune.bar_count for tune in tunes)} bars"
    for instrument in INSTRUMENTS:
        for way in WAYS:
            found = [way.played(tune, instrument) for tune in tunes]
            yield f"  {instrument}, {way.name}:"
            yield from (f"    {told}" for told in _told(found))


def _told(found: Sequence[Arrangement]) -> Iterator[str]:
    lines = [line(way) for way in found]
    bars = sum(way.tune.bar_count for way in found)
    added = sum(len(way.added) for way in found)
    clashes = [clash for way in found for clash in added_clashes(way)]
    avoid = sum(clash.rule == AVOID_NOTE for clash in clashes)
    yield f"added {added} in {bars} bars, most in four {max(each.dense for each in lines)}"
    yield f"added clashes {len(clashes) - avoid}, avoid notes {avoid}"
    yield _of_phrases(lines)
    back, leaps = sum(each.leaps_back for each in lines), sum(each.leaps for each in lines)
    yield f"leaps followed by a step back {_share(back, leaps)}"
    ways = np.array([(each.parallel, each.oblique, each.contrary) for each in lines]).sum(axis=0)
    shares = " / ".join(f"{100 * n / max(1, int(ways.sum())):.0f}" for n in ways.tolist())
    yield f"outer voices parallel / oblique / contrary {shares} %"
    by_step = sum(each.guide_tones for each in lines)
    yield f"7–3 by step over falling fifths {_share(by_step, sum(e.falling_fifths for e in lines))}"
    yield (
        f"longest run {max(each.longest_run for each in lines):g} beats, "
        f"walking {np.mean([each.walking for each in lines]):.0f} % of beats, "
        f"drops at bar lines {sum(each.drops for each in lines)}"
    )
    held, stays, could, most = np.array([held_strings(way) for way in found]).sum(axis=0).tolist()
    yield (
        f"held strings {held}, the finger stays on {stays}; on {could} at most with grips as easy "
        f"and as short a way, on {most} however held"
    )
    yield (
        f"voices against the wording {sum(each.against_wording for each in lines)}, "
        f"third time in a row {sum(each.thrice for each in lines)}, "
        f"too low {sum(each.too_low for each in lines)}"
    )


def held_strings(way: Arrangement) -> tuple[int, int, int, int]:
    """Return how many strings are held from shape to shape, on how many the finger stays, and most.

    Both that come last are exact, and of rows of fingerings in which a phrase that comes again may
    be held otherwise: the most of rows whose grips are together no more awkward and whose way is no
    farther than in the row as printed, however many fingers are placed; and the most of any row.
    """
    total = np.zeros(4, dtype=int)
    steps = zip(way.steps, way.fingerings, strict=True)
    for sounds, group in groupby(steps, key=lambda each: each[1] is not None):
        if sounds:
            row = [next(same) for _, same in groupby(group, key=lambda each: each[0].voicing)]
            shapes = [step.voicing for step, _ in row if step.voicing is not None]
            every = [_ways(shape, way) for shape in shapes]
            printed = [
                next(each for each in ways if each.fingering == fingering)
                for ways, (_, fingering) in zip(every, row, strict=True)
            ]
            strings = [_held(*pair) for pair in pairwise(shapes)]
            total += (sum(map(len, strings)), *_kept(every, printed, strings))
    held, stays, could, most = total.tolist()
    return held, stays, could, most


def _kept(
    every: Sequence[Sequence[travel.Way]],
    printed: Sequence[travel.Way],
    strings: Sequence[Sequence[int]],
) -> tuple[int, int, int]:
    """Return how many strings keep their finger: as printed, as easily, at most."""
    stays = sum(_stay(on, *pair) for on, pair in zip(strings, pairwise(printed), strict=True))
    points = sum(each.points for each in printed)
    way = sum(travel.way_mm(a.stance, b.stance) for a, b in pairwise(printed))
    free = sum(max(each.points for each in ways) for ways in every)
    return (
        stays,
        max(kept for kept, mm in enumerate(_shortest(every, strings, points)) if mm <= way + 1e-6),
        max(kept for kept, mm in enumerate(_shortest(every, strings, free)) if mm < np.inf),
    )


def _shortest(
    every: Sequence[Sequence[travel.Way]], strings: Sequence[Sequence[int]], points: int
) -> list[float]:
    """Return for each number of strings that keep their finger the shortest way, in mm."""
    sizes = points + 1, sum(map(len, strings)) + 1
    ways = np.full((len(every[0]), *sizes), np.inf)
    for at, each in enumerate(every[0]):
        ways[at, each.points : each.points + 1, 0] = 0.0
    for on, before, after in zip(strings, every, every[1:], strict=False):
        found = np.full((len(after), *sizes), np.inf)
        for (there, new), (here, old) in product(enumerate(after), enumerate(before)):
            kept, more = _stay(on, old, new), new.points
            if more <= points:
                mm = ways[here, : sizes[0] - more, : sizes[1] - kept]
                place = found[there, more:, kept:]
                np.minimum(place, mm + travel.way_mm(old.stance, new.stance), out=place)
        ways = found
    shortest: list[float] = ways.min(axis=(0, 1)).tolist()
    return shortest


def _held(before: Voicing, after: Voicing) -> list[int]:
    frets = zip(before.frets, after.frets, strict=True)
    return [string for string, (one, two) in enumerate(frets) if one and one == two]


def _stay(strings: Sequence[int], one: travel.Way, two: travel.Way) -> int:
    return sum(one.fingering.fingers[n] == two.fingering.fingers[n] for n in strings)


def _ways(shape: Voicing, way: Arrangement) -> tuple[travel.Way, ...]:
    neck = shape.instrument
    return travel.all_ways(shape.frets, neck, way.limits) or travel.all_ways(
        shape.frets, neck, None
    )


def _of_phrases(lines: Sequence[LineFigures]) -> str:
    phrases = [phrase for each in lines for phrase in each.phrases]
    turns = np.array([phrase.turns for phrase in phrases])
    low, high = _GOOD_TURNS
    good = int(np.count_nonzero((turns >= low) & (turns <= high)))
    rests = sum(phrase.rests for phrase in phrases)
    peaks = sum(phrase.times == 1 and not phrase.opens_high for phrase in phrases)
    many = len(phrases)
    return (
        f"phrases {many}: turns {turns.mean():.1f} ± {turns.std() / np.sqrt(many):.1f}, "
        f"1 to 4 in {_share(good, many)}; rest at the end {_share(rests, many)}; "
        f"one highest note {_share(peaks, many)}"
    )


def _share(part: int, whole: int) -> str:
    return f"{part} of {whole} ({100 * part / whole:.0f} %)" if whole else "0 of 0"


if __name__ == "__main__":
    for told in figures():
        print(told, flush=True)
