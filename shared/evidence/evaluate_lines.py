"""Print the figures of arrangements as a player would count them: ``evaluate_lines.py``.

Each line is one way of asking, over all tunes of ``played_tunes`` on one instrument.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, pairwise
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
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.fretboard.hands.travel import all_ways
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
    held, stays, most = np.array([held_strings(way) for way in found]).sum(axis=0).tolist()
    yield f"held strings {held}, the finger stays on {stays}; on {most} at most, however held"
    yield (
        f"voices against the wording {sum(each.against_wording for each in lines)}, "
        f"third time in a row {sum(each.thrice for each in lines)}, "
        f"too low {sum(each.too_low for each in lines)}"
    )


def held_strings(way: Arrangement) -> tuple[int, int, int]:
    """Return how many strings are held from shape to shape, on how many the finger stays, and most.

    The most is exact: over every way in which the hand can hold each shape, however awkward, each
    for itself where a phrase comes again.
    """
    held = stays = most = 0
    steps = zip(way.steps, way.fingerings, strict=True)
    for sounds, group in groupby(steps, key=lambda each: each[1] is not None):
        if not sounds:
            continue
        row = [next(same) for _, same in groupby(group, key=lambda each: each[0].voicing)]
        shapes = [step.voicing for step, _ in row if step.voicing is not None]
        fingers = [fingering for _, fingering in row if fingering is not None]
        every = [_ways(shape, way) for shape in shapes]
        best = np.zeros(len(every[0]), dtype=int)
        for at, (before, after) in enumerate(pairwise(shapes)):
            frets = zip(before.frets, after.frets, strict=True)
            strings = [n for n, (one, two) in enumerate(frets) if one and one == two]
            held += len(strings)
            stays += _stay(strings, fingers[at], fingers[at + 1])
            kept = [[_stay(strings, one, two) for two in every[at + 1]] for one in every[at]]
            best = (best[:, None] + np.array(kept)).max(axis=0)
        most += int(best.max())
    return held, stays, most


def _stay(strings: Sequence[int], one: Fingering, two: Fingering) -> int:
    return sum(one.fingers[n] == two.fingers[n] for n in strings)


def _ways(shape: Voicing, way: Arrangement) -> list[Fingering]:
    neck = shape.instrument
    found = all_ways(shape.frets, neck, way.limits) or all_ways(shape.frets, neck, None)
    return [each.fingering for each in found]


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
