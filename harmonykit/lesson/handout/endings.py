"""Sections that come back with another end: what they share is printed once, each end in brackets.

Conventions.  Four bars at least are shared, and half of the section (our own bounds).  A bracket
says at which of the times that its section is played it is taken, as first and second endings do
(common practice, no source).
"""

from collections.abc import Sequence
from itertools import pairwise, takewhile

from harmonykit.arrange.written import WrittenBar
from harmonykit.values import dataclass, replace

_LEAST = 4
Contents = Sequence[tuple[str, Sequence[object]]]
"""The sections as they come: the name of each, and what is in its bars."""


@dataclass(frozen=True, slots=True)
class Family:
    """Sections as they come, of which the first bars are the same.

    Parameters
    ----------
    members : tuple of int
        Their places among the sections as they come.
    ends : tuple of int
        For each the place of the first that ends as it does.
    shared : int
        How many bars all have in common.
    """

    members: tuple[int, ...]
    ends: tuple[int, ...]
    shared: int

    @property
    def in_order(self) -> bool:
        """Whether they follow one another, and each end only itself: repeat signs say so."""
        runs = [self.members, *([self.ends] if len(set(self.ends)) > 1 else [])]
        steps = [{b - a for a, b in pairwise(run)} for run in runs]
        return steps[0] <= {1} and all(step >= 0 for step in set().union(*steps))

    def bars(self, runs: Sequence[Sequence[WrittenBar]]) -> list[WrittenBar]:
        """Return what is printed: the shared bars, and each end with the times that it is taken."""
        kinds = dict.fromkeys(self.ends)
        if len(kinds) == 1:
            return [*runs[self.members[0]]]
        found = [*runs[self.members[0]][: self.shared]]
        for kind in kinds:
            times = tuple(n for n, end in enumerate(self.ends, start=1) if end == kind)
            found += [
                replace(bar, bar=replace(bar.bar, ending=times))
                for bar in runs[kind][self.shared :]
            ]
        return found


def families(contents: Contents) -> list[Family]:
    """Return the sections as they come, those together that are the same up to their ends.

    Examples
    --------
    >>> verse = [*"abcdef"]
    >>> [family.shared for family in families([("A", [*verse, "g"]), ("A", [*verse, "h"])])]
    [6]
    """
    shared: dict[int, int] = {}
    members: dict[int, list[int]] = {}
    for place, (name, bars) in enumerate(contents):
        for head, so_far in shared.items():
            alike = _alike(bars, contents[head][1][:so_far])
            kin = contents[head][0] == name and len(contents[head][1]) == len(bars)
            if kin and (alike == len(bars) or alike >= max(_LEAST, len(bars) - alike)):
                shared[head] = alike
                members[head].append(place)
                break
        else:
            shared[place], members[place] = len(bars), [place]
    first = [contents.index(one) for one in contents]
    return [
        Family(tuple(own), tuple(first[place] for place in own), shared[head])
        for head, own in members.items()
    ]


def _alike(one: Sequence[object], other: Sequence[object]) -> int:
    """Return how many bars from the first on are the same."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


def ending_at(bars: Sequence[WrittenBar], place: int) -> dict[str, object] | None:
    """Return the bracket over a printed bar: its words, and whether it starts or stops there."""
    own = bars[place].bar.ending
    if not own:
        return None
    starts = not place or bars[place - 1].bar.ending != own
    stops = place + 1 == len(bars) or bars[place + 1].bar.ending != own
    text = ", ".join(f"{n}." for n in own) if starts else ""
    return {"text": text, "starts": starts, "stops": stops}


def turning_bars(bars: Sequence[WrittenBar]) -> list[WrittenBar]:
    """Return the bars of a repeated section after which it is played again."""
    ends = [
        bar
        for bar, after in pairwise(bars)
        if bar.bar.ending and after.bar.ending != bar.bar.ending
    ]
    return ends or [bars[-1]]
