"""Which signs say in which order sections are played that come back: repeats, D.C., Fine, coda.

Conventions (common practice of engravers and players, no source).

- A section that follows itself is repeated, with first and second endings where its ends differ.
- D.C. leads to the first bar, D.S. to a segno anywhere else.  After it nothing is repeated, and of
  several endings the last is taken.
- Where the piece ends as a section ended before, that end has Fine, in its last ending if it has
  some: D.C. al Fine.  An earlier ending has then the number of that time too: "1., 3." and Fine.
- Where it has an end of its own, that end is a coda, and so is a tag: D.C. al Coda, with "To coda"
  where the ends part.
- All other orders stand in letters: sections that are repeated after the jump too, that come a
  third time, or that lead to a new section which is no tag.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby

from harmonykit.arrange.written import WrittenBar
from harmonykit.lesson.handout.endings import Family
from harmonykit.tune.form import TAG
from harmonykit.values import dataclass, replace

Group = tuple[int, int]
"""A family of sections, and how often it is played one after the other."""

_TAGS = (TAG, "coda", "ending", "outro")


@dataclass(frozen=True, slots=True)
class Route:
    """How sections are played: straight on, then perhaps by a jump to an end.

    Parameters
    ----------
    straight : tuple of (int, int)
        What is played up to the jump, each family once or repeated.
    jump : str
        Such as ``"D.C. al fine"``; empty where there is none.
    back : int
        The family that it leads to.
    last : int
        The section, as they come, in which the piece ends, or is left for the coda.
    own, earlier : bool
        Whether the end of that is the coda; and whether it is an earlier one of its endings.
    coda : tuple of (int, int)
        What is played behind it.
    """

    straight: tuple[Group, ...]
    jump: str = ""
    back: int = -1
    last: int = -1
    own: bool = False
    earlier: bool = False
    coda: tuple[Group, ...] = ()

    def views(self, found: Sequence[Family]) -> list[Family]:
        """Return the families as they are printed: with the endings that are taken."""
        return [
            _first(family, times + (self.earlier and self.last in family.members))
            for family, times in zip(found, self._times(found), strict=True)
        ]

    def in_order(self, found: Sequence[Family]) -> bool:
        """Whether up to the jump, and in the coda, all endings are taken in their order."""
        played = zip(found, self._times(found), strict=True)
        return all(_first(family, times).in_order for family, times in played)

    def _times(self, found: Sequence[Family]) -> list[int]:
        times = dict((*self.straight, *self.coda))
        return [times[n] for n in range(len(found))]

    def signs(
        self, kept: Sequence[Sequence[WrittenBar]], leaves: int, coda: int
    ) -> Iterator[tuple[int, str]]:
        """Yield the bars that have signs, by their places among all bars played, with the sign.

        Parameters
        ----------
        kept : sequence of sequence of WrittenBar
            What is printed of each family.
        leaves, coda : int
            The bar that ends the piece, or after which it goes on at the coda; and the first bar
            of that.
        """
        if not self.jump:
            return
        if self.jump.startswith("D.S."):
            yield kept[self.back][0].index, "segno"
        if self.jump.endswith("fine"):
            yield leaves, "fine"
        else:
            yield from ((leaves, "to coda"), (coda, "coda"))
        yield kept[self.straight[-1][0]][-1].index, self.jump


def _first(family: Family, times: int) -> Family:
    """Return a family as it is played the first times."""
    return replace(family, members=family.members[:times], ends=family.ends[:times])


def route(order: Sequence[int], found: Sequence[Family], names: Sequence[str]) -> Route | None:
    """Return how signs lead through sections; None where letters alone say their order.

    Parameters
    ----------
    order : sequence of int
        For each section as it comes its family.
    found : sequence of Family
    names : sequence of str
        What the sections of each family are called.

    Examples
    --------
    >>> from harmonykit.lesson.handout.endings import families
    >>> verse, bridge, other = ("A", [*"abcdef"]), ("B", [*"uvwxyz"]), ("A", [*"abcdeg"])
    >>> def jump(*sections):
    ...     found = families(sections)
    ...     of = {place: n for n, family in enumerate(found) for place in family.members}
    ...     way = route([of[place] for place in range(len(sections))], found, ["A", "B"])
    ...     return way and way.jump
    >>> jump(verse, verse, bridge, verse), jump(verse, other, bridge, other)
    ('D.C. al fine', 'D.C. al fine')
    >>> jump(verse, other, bridge, verse), jump(verse, bridge, verse, bridge)
    ('D.C. al fine', None)
    """
    rows = [(n, len(list(each))) for n, each in groupby(order)]
    count = next((k for k, row in enumerate(rows) if row[0] in dict(rows[:k])), len(rows))
    straight, rest = tuple(rows[:count]), rows[count:]
    way = _jump(straight, rest, found, names) if rest else Route(straight)
    return way if way and way.in_order(found) else None


def _jump(
    straight: tuple[Group, ...],
    rest: Sequence[Group],
    found: Sequence[Family],
    names: Sequence[str],
) -> Route | None:
    """Return the way by a jump through what is played after sections that come once."""
    line = [n for n, _ in straight]
    first = line.index(rest[0][0])
    again = 0
    for (n, times), other in zip(rest, line[first:], strict=False):
        if n != other or times > 1:
            break
        again += 1
    coda, place = tuple(rest[again:]), sum(times for _, times in straight)
    new = [n for n, _ in coda]
    # A jump from the end of what is played again would be a repeat.
    if not again or first + again == len(line) or len({*line, *new}) < len(line) + len(new):
        return None
    if any(names[n].lower() not in _TAGS for n in new):
        return None
    last = place + again - 1
    ended = {at: _end(found[n], at) for at, (n, _) in enumerate(rest[:again], place)}
    taken = {
        at: found[n].ends[: dict(straight)[n]] for at, (n, _) in zip(ended, rest, strict=False)
    }
    if any(ended[at] != taken[at][-1] for at in ended if at != last):
        return None
    own = ended[last] not in taken[last]
    jump = f"{'D.S.' if first else 'D.C.'} al {'coda' if own or coda else 'fine'}"
    earlier = not own and ended[last] != taken[last][-1]
    return Route(straight, jump, rest[0][0], last, own, earlier, coda)


def _end(family: Family, place: int) -> int:
    return family.ends[family.members.index(place)]
