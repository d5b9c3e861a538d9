"""Print how often each move and idiom finds a place, and why some find none.

``evaluate_idioms.py FOLDER`` looks at the tunes of ``played_tunes``, at those that ship, and at
every twentieth jazz tune of the folder.  A line has: places where it is offered and the tunes in
which they are; places where it is played on the ukulele if it alone is asked for; places where the
style *rich* takes it among all others.  Behind a 0 stands why: its row is in no tune, a rule keeps
it out (the most frequent one), or no shapes do what it asks.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

from collection import folder_given, rows_of
from evaluate_arrangements import tune_of
from played_tunes import played_tunes

from harmonykit.arrange.arrangement import Step
from harmonykit.arrange.asked import Asked
from harmonykit.arrange.idioms.rule import idiom_moves
from harmonykit.arrange.moves import MOVES, Refused
from harmonykit.arrange.offering import moves_of
from harmonykit.arrange.search import reharmonise
from harmonykit.arrange.wishes import FULL, Wishes
from harmonykit.errors import HarmonyError
from harmonykit.paths import data_dir
from harmonykit.score.files import as_tune
from harmonykit.tune.tune import Tune

_STEP, _MOST_BARS = 20, 40
_INSTRUMENT = "ukulele"


class _Count:
    """What was counted of every move and idiom."""

    def __init__(self) -> None:
        self.offered, self.tunes = Counter[str](), Counter[str]()
        self.alone, self.taken = Counter[str](), Counter[str]()
        self.rules: dict[str, Counter[str]] = defaultdict(Counter)

    def add(self, tune: Tune, names: list[str]) -> None:
        """Count one tune, over somebody who plays the bass."""
        asked = Asked(tune, _INSTRUMENT, names, Wishes(bass_player=True))
        every, here = frozenset(names), Counter[str]()
        for rule in asked.rules:
            for index in range(len(asked.slots)):
                for found in asked.answers.of(rule, index, every):
                    if isinstance(found, Refused):
                        self.rules[rule.name][found.rule] += 1
                    else:
                        here[rule.name] += 1
        self.offered.update(here)
        self.tunes.update(set(here))
        alone = Wishes(bass_player=True, density=FULL)
        for name in here:
            (way,) = reharmonise(tune, _INSTRUMENT, [name], 1, wishes=alone)
            self.alone[name] += _places(way.steps)[name]
        rich = Wishes(bass_player=True, style="rich")
        (way,) = reharmonise(tune, _INSTRUMENT, moves_of("rich"), 1, wishes=rich)
        self.taken.update(_places(way.steps))

    def told(self, names: list[str]) -> Iterator[str]:
        """Yield a line for each."""
        yield f"  {'':46} offered  tunes  alone   rich"
        for name in names:
            counts = (each[name] for each in (self.offered, self.tunes, self.alone, self.taken))
            yield f"  {name:46} {''.join(f'{count:7}' for count in counts)}  {self._why(name)}"

    def _why(self, name: str) -> str:
        rules = self.rules[name]
        if self.offered[name]:
            return "" if self.alone[name] else "no shapes that do what it asks"
        if not rules:
            return "its row is in no tune"
        rule, count = rules.most_common(1)[0]
        return f"refused {rules.total()} times; {count} times: {rule}"


def _places(steps: Sequence[Step]) -> Counter[str]:
    """Return in how many places each move stands; a row of an idiom counts once."""
    found, last = Counter[str](), ("", -2)
    for number, step in enumerate(steps):
        if step.move and (step.move != last[0] or number != last[1] + 1):
            found[step.move] += 1
        if step.move:
            last = step.move, number
    return found


def tunes_of(folder: Path) -> Iterator[Tune]:
    """Yield the tunes."""
    yield from played_tunes()
    yield from map(as_tune, sorted((data_dir() / "tunes").glob("*.toml")))
    rows = [row for row in rows_of(folder / "progressions.tsv") if row["meter"] == "4/4"]
    for row in rows[::_STEP]:
        tune = tune_of(row)
        if tune.bar_count <= _MOST_BARS:
            yield tune


def figures(folder: Path) -> Iterator[str]:
    """Yield the table, and how many tunes were looked at."""
    names = [*(move.name for move in MOVES.values()), *(m.name for m in idiom_moves().values())]
    counted, tunes, missing = _Count(), 0, 0
    for tune in tunes_of(folder):
        try:
            counted.add(tune, names)
            tunes += 1
        except HarmonyError:
            missing += 1
    yield f"moves and idioms on the {_INSTRUMENT}: {tunes} tunes ({missing} without a shape)"
    yield from counted.told(names)


if __name__ == "__main__":
    for line in figures(folder_given()):
        print(line, flush=True)
