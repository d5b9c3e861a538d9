"""The order in which written bars are played: repeats, endings, and jumps.

Conventions (common practice of engravers and players, no source).  A repeated part that closes
without having opened starts after the last one that closed, or where the section does; after the
last ending, or a part that is through, the next part starts.  A jump is taken once, when its bar
is left for good.  D.C. goes to the beginning, D.S. to the nearest segno before.  After either of
them repeats are not taken again, and of endings the last one is played; *fine* ends the tune, and
*to coda* goes on at the coda, where repeats count again.  ``"D.C. al fine"`` minds only the fine,
``"D.C. al coda"`` only the coda, ``"D.C."`` both.  A pick-up is played again after D.C. only where
the bar before it has room for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from harmonykit.tune.bar import Bar, TuneError, bar_length

MOST_PLAYED_BARS = 20_000


@dataclass(frozen=True, slots=True)
class Part:
    """Bars of one section, as often as the form names it."""

    section: str
    bars: tuple[Bar, ...]
    silent_pickup: bool = False


def unfold(bars: tuple[Bar, ...]) -> Iterator[Bar]:
    """Yield the bars of one section in playing order."""
    for _, bar in play([Part("", bars)]):
        yield bar


def play(parts: Sequence[Part]) -> Iterator[tuple[str, Bar]]:
    """Yield each bar in playing order with the name of its section.

    Raises
    ------
    TuneError
        If there are more bars than anybody plays.
    """
    walk = _Walk(parts)
    for count, index in enumerate(walk.indices()):
        if count >= MOST_PLAYED_BARS:
            raise TuneError(f"more than {MOST_PLAYED_BARS} bars are played")
        yield walk.names[index], walk.bars[index]


def signs_fault(bars: Sequence[Bar]) -> tuple[str, str] | None:
    """Return the first sign that leads nowhere in bars in the form's order, and what is wrong."""
    here = {sign for bar in bars for sign in bar.signs}
    for bar in bars:
        for sign in bar.signs:
            missing = next((need for need in _NEEDS.get(sign, ()) if need not in here), None)
            if missing:
                return sign, f"{sign} without {_ARTICLES[missing]}"
    return None


_NEEDS = {
    "D.C. al fine": ("fine",),
    "D.S.": ("segno",),
    "D.S. al fine": ("segno", "fine"),
    "D.C. al coda": ("to coda", "coda"),
    "D.S. al coda": ("segno", "to coda", "coda"),
    "to coda": ("coda",),
}
_ARTICLES = {
    "fine": "a fine", "segno": "a segno", "to coda": "a 'to coda'", "coda": "a coda",
}  # fmt: skip


@dataclass(slots=True)
class _Walk:
    """A player's way through the bars."""

    parts: Sequence[Part]
    bars: list[Bar] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    passes: list[int] = field(default_factory=list)
    begins: set[int] = field(default_factory=set)
    # Where the repeated part starts, and which pass of it this is.
    start: int = 0
    count: int = 1
    # After a jump repeats are not taken, and some signs are minded.
    repeats: bool = True
    minded: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for part in self.parts:
            self.begins.add(len(self.bars))
            self.bars += part.bars
            self.names += [part.section] * len(part.bars)
            self.passes += [_passes(part.bars, index) for index in range(len(part.bars))]

    def indices(self) -> Iterator[int]:
        index, taken = 0, set[int]()
        while index < len(self.bars):
            if index != self.start and self._begins_part(index):
                self.start, self.count = index, 1
            bar, here = self.bars[index], index
            index += 1
            if bar.ending and self._pass(here) not in bar.ending:
                continue
            yield here
            if "fine" in bar.signs and "fine" in self.minded:
                return
            if "to coda" in bar.signs and "to coda" in self.minded:
                index = self._go_to_coda(here)
            elif self.repeats and bar.closes and self.count < self.passes[here]:
                self.count, index = self.count + 1, self.start
            elif bar.jump and here not in taken:
                taken.add(here)
                index = self._jump(here)
            elif bar.closes and not bar.ending:
                self.start, self.count = index, 1

    def _begins_part(self, index: int) -> bool:
        bars = self.bars
        after_endings = index > 0 and bars[index - 1].ending and not bars[index].ending
        return index in self.begins or bars[index].opens or bool(after_endings)

    def _pass(self, index: int) -> int:
        return self.count if self.repeats else self.passes[index]

    def _jump(self, here: int) -> int:
        """Return where a jump leads, and mind the signs that it names."""
        jump = self.bars[here].jump
        self.minded = tuple(
            sign for sign in ("fine", "to coda") if " al " not in jump or sign.endswith(jump[8:])
        )
        self.repeats = False
        goal = self._beginning(here) if jump.startswith("D.C.") else self._segno(here)
        self.start, self.count = goal, 1
        return goal

    def _beginning(self, here: int) -> int:
        if self.parts[0].silent_pickup:
            return len(self.parts[0].bars)
        first, last = self.bars[0], self.bars[here]
        pickup = first.length < bar_length(first.meter) and len(self.bars) > 1
        return int(pickup and last.length + first.length > bar_length(last.meter))

    def _segno(self, here: int) -> int:
        places = [n for n, bar in enumerate(self.bars) if "segno" in bar.signs]
        return max((n for n in places if n <= here), default=next(iter(places), len(self.bars)))

    def _go_to_coda(self, here: int) -> int:
        places = [n for n, bar in enumerate(self.bars) if "coda" in bar.signs]
        goal = next((n for n in places if n > here), len(self.bars))
        self.repeats, self.minded = True, ()
        self.start, self.count = goal, 1
        return goal


def _passes(bars: tuple[Bar, ...], index: int) -> int:
    """Return how often the part that a bar closes is played; for an ending, the last pass."""
    if not bars[index].ending:
        return bars[index].closes
    first = last = index
    while last + 1 < len(bars) and bars[last + 1].ending:
        last += 1
    while first > 0 and bars[first - 1].ending:
        first -= 1
    return max(max(bar.ending) for bar in bars[first : last + 1])
