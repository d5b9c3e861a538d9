"""Judge arrangements by how usual their skeleton is: ``evaluate_arrangements.py FOLDER``.

The judge is fixed: step and kind by the kind before, back-off 5, counted in four fifths of the jazz
tunes; it is no part of any price.  It reads the skeleton of an arrangement: the tune's chords and
those of idioms and substitutions, not those of walks, rootless ninths and suspensions, which lead
sheets do not write.  Each arrangement is judged by counts without its tune and its twins, and held
against the tune as written: bits per change and a bar over written, the share of changes with an
added chord that fewer than three other tunes have, ornaments a bar.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from collection import Piece, folder_given, folds, jazz_pieces, rows_of, twins
from count_harmony import count_chains
from evaluate_harmony import FOLDS, judge

from harmonykit.arrange.arrangement import Arrangement, Step, is_foreign
from harmonykit.arrange.moves import MOVES, USUAL
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.styles import USUAL_STYLE
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import HarmonyError
from harmonykit.evidence.heard import chain_name
from harmonykit.evidence.keys import Heard, merged
from harmonykit.evidence.kinds import JAZZ
from harmonykit.tune.analysis.key_finding import hear
from harmonykit.tune.tune import Tune

_TUNES, _MOST_BARS = 24, 40
Arranger = Callable[[Tune], Sequence[Arrangement]]


@dataclass(frozen=True)
class Judged:
    """What the judge says of an arrangement, beside its tune as written."""

    bits: float
    written: float
    changes: int
    written_changes: int
    bars: int
    unseen: int
    added: int
    ornaments: int

    @property
    def more(self) -> float:
        """Bits a change more than the tune as written."""
        return self.bits / max(self.changes, 1) - self.written / max(self.written_changes, 1)

    @property
    def more_a_bar(self) -> float:
        """Bits a bar more than the tune as written."""
        return (self.bits - self.written) / self.bars


def skeleton(arrangement: Arrangement) -> list[tuple[Step, Heard]]:
    """Return the structural chords of an arrangement, without repeats, as they are counted.

    In the time of an ornament the tune's own chord counts.
    """
    kept: list[tuple[Step, Heard]] = []
    for step in arrangement.steps:
        chord = step.written if is_ornament(step) else step.chord
        if chord is None:
            continue
        heard = hear(chord, JAZZ, step.bar, strong=_opens_its_bar(arrangement, step))
        if not kept or (heard.root, heard.kind) != (kept[-1][1].root, kept[-1][1].kind):
            kept.append((step, heard))
    return kept


def is_ornament(step: Step) -> bool:
    """Return whether a step is bound to the chord beside it, as a walk's steps are."""
    return is_foreign(step.chord, step.written) and step.ornament


def _opens_its_bar(arrangement: Arrangement, step: Step) -> bool:
    return step.onset == arrangement.tune.playing[step.bar].onset


def judge_arrangement(
    arrangement: Arrangement,
    bits: Callable[[Piece], Iterator[float]],
    chains: Callable[[str], bool],
) -> Judged:
    """Judge an arrangement by the bits of a change and by which changes were heard."""
    kept = skeleton(arrangement)
    row = [heard for _, heard in kept]
    plain = merged(
        [
            hear(change.chord, JAZZ)
            for change in arrangement.tune.changes
            if change.chord is not None
        ]
    )
    bars = len(arrangement.tune.playing)
    added = [
        chain_name([one, two])
        for (a, one), (b, two) in pairwise(kept)
        if any(is_foreign(each.chord, each.written) and not is_ornament(each) for each in (a, b))
    ]
    return Judged(
        sum(bits(Piece("", None, tuple(row), bars))),
        sum(bits(Piece("", None, tuple(plain), bars))),
        len(row) - 1,
        len(plain) - 1,
        bars,
        sum(not chains(name) for name in added),
        len(added),
        sum(map(is_ornament, arrangement.steps)),
    )


def judge_tunes(folder: Path, arrange: Arranger, most: int = _TUNES) -> Iterator[str]:
    """Yield what the judge says of arrangements of the shared tunes, by their names.

    ``arrange`` returns the arrangements of a tune, each with a name.
    """
    pieces = jazz_pieces(folder)
    fold = folds(twins(pieces), FOLDS, 0)
    texts = rows_of(folder / "progressions.tsv")
    chosen = [n for n, each in enumerate(pieces) if each.bars <= _MOST_BARS and _is_plain(texts[n])]
    chosen = chosen[:: max(1, len(chosen) // most)][:most]
    found: dict[str, list[Judged]] = {}
    missing = 0
    for number in range(FOLDS):
        mine = [n for n in chosen if fold[n] == number]
        rest = [piece for piece, n in zip(pieces, fold, strict=True) if n != number]
        bits, chains = judge(rest), count_chains(rest)
        for n in mine:
            try:
                ways = arrange(tune_of(texts[n]))
            except HarmonyError:
                missing += 1
                continue
            for way in ways:
                told = judge_arrangement(way, bits, chains.__contains__)
                found.setdefault(way.name, []).append(told)
    count = len(chosen) - missing
    yield f"arrangements on the ukulele: {count} tunes of at most {_MOST_BARS} bars"
    if missing:
        yield f"  {missing} tunes have a chord without a shape"
    for name, judged in found.items():
        yield f"  {name}: {summary(judged)}"


def summary(judged: Sequence[Judged]) -> str:
    """Return the medians over tunes, with the standard errors of means."""
    more = np.array([each.more for each in judged])
    bar = np.array([each.more_a_bar for each in judged])
    ornaments = np.array([each.ornaments / each.bars for each in judged])
    added, unseen = (np.array([getattr(each, n) for each in judged]) for n in ("added", "unseen"))
    all_added = max(int(added.sum()), 1)
    share = 100 * unseen.sum() / all_added
    error = 100 * np.sqrt(((unseen - share / 100 * added) ** 2).sum()) / all_added
    return (
        f"bits per change over written, median {np.median(more):+.2f} ± {_error(more):.2f}; a bar "
        f"{np.median(bar):+.2f} ± {_error(bar):.2f}; unseen {share:.1f} ± {error:.1f} % of "
        f"{added.sum()} changes; ornaments a bar {ornaments.mean():.2f} ± {_error(ornaments):.2f}"
    )


def _error(values: np.ndarray) -> float:
    return float(values.std() / np.sqrt(len(values)))


def _is_plain(row: dict[str, str]) -> bool:
    return row["meter"] == "4/4"


def tune_of(row: dict[str, str]) -> Tune:
    """Return a tune of the collection: its chords in bars of four, in its key."""
    bars: dict[int, dict[int, str]] = {}
    for said in row["chords (bar.beat:symbol)"].split():
        place, symbol = said.split(":", 1)
        bar, beat = map(int, place.split("."))
        if beat <= 4:
            bars.setdefault(bar, {})[beat] = symbol
    held, texts = "N.C.", []
    for bar in range(1, max(bars) + 1):
        cells = bars.get(bar, {})
        # A stroke holds the chord before it.
        texts.append(" ".join([cells.get(1, held), *(cells.get(beat, "/") for beat in (2, 3, 4))]))
        held = next((cells[beat] for beat in (4, 3, 2, 1) if beat in cells), held)
    return Tune.parse(f"Key: {row['key']}\n| " + " | ".join(texts) + " |")


def offered(tune: Tune) -> list[Arrangement]:
    """Return a tune on the ukulele as written, with usual moves, with all, and in three styles."""
    sets = [("as written", (), ""), ("usual moves", USUAL, ""), ("all moves", tuple(MOVES), "")]
    sets += [(style, moves_of(style), style) for style in ("sparse", "walking", "rich")]
    return [
        way
        for name, moves, style in sets
        for way in reharmonise(
            tune, "ukulele", moves, 1, wishes=Wishes(name=name, style=style or USUAL_STYLE)
        )
    ]


def figures(folder: Path) -> Iterator[str]:
    """Yield the figures of what is offered."""
    yield from judge_tunes(folder, offered)


if __name__ == "__main__":
    for line in figures(folder_given()):
        print(line, flush=True)
