"""A form that counts each pass of a repeated section: AABA, where A stands between repeat signs."""

from collections import Counter
from collections.abc import Sequence
from itertools import groupby

from harmonykit.tune.bar import Bar
from harmonykit.tune.form import Section
from harmonykit.tune.order import repeats_of
from harmonykit.values import dataclass, replace


@dataclass(frozen=True, slots=True)
class Counted:
    """What is played where a form counts passes.

    Parameters
    ----------
    sections : tuple of Section
        With the signs of a jump where one is needed.
    order : tuple of str
        Their names in playing order, each with its repeat.
    said : str
        How the form is taken; empty where it says nothing that the bars do not.
    doubt : str
        What is played otherwise than the form may mean.
    """

    sections: tuple[Section, ...]
    order: tuple[str, ...]
    said: str = ""
    doubt: str = ""


def count_passes(order: Sequence[str], sections: Sequence[Section]) -> Counted:
    """Return what a form plays: where it names a repeated section for each pass, it counts them.

    One pass alone, at the end or before the last sections, is a jump back to the section, which
    its last ending ends.

    Examples
    --------
    >>> from harmonykit.tune.tune import Tune
    >>> parts = Tune.parse("[A]\\n|: F | C7 :|\\n[B]\\n| Bb | C7 |").sections
    >>> [count_passes(form, parts).order for form in ("ABA", "AABA", "AABB")]
    [('A', 'B', 'A'), ('A', 'B'), ('A', 'B', 'B')]
    >>> count_passes("AABA", parts).said
    'the form names A for each pass: D.C. al Fine after B'
    """
    runs = [(name, len(list(run))) for name, run in groupby(order)]
    times = {section.name: _times(section) for section in sections}
    if not any(1 < count == times[name] for name, count in runs):
        return Counted(tuple(sections), tuple(order))
    names = [
        (name, 1 if count == times[name] > 1 else count if times[name] == 1 else 0)
        for name, count in runs
    ]
    alone = [place for place, (_, count) in enumerate(names) if not count]
    if not alone:
        return Counted(tuple(sections), _named(names))
    place = alone[0]
    name = runs[place][0]
    if len(alone) > 1 or runs[place][1] > 1 or not _can_jump(names, place, sections):
        rest = f"type {name} without its repeat, and name it for each pass"
        repeat = f"where its repeat plays it {times[name]} times"
        doubt = f"the form names {name} once, {repeat}: it is repeated"
        played = _named([(name, count or 1) for name, count in names])
        return Counted(tuple(sections), played, doubt=f"{doubt}; {rest}")
    return _with_jump(names, place, sections)


def _named(names: Sequence[tuple[str, int]]) -> tuple[str, ...]:
    return tuple(name for name, count in names for _ in range(count))


def _times(section: Section) -> int:
    """Return how often all of a section is played by its own repeat; 1 where it has none."""
    bars = section.bars
    whole = [each for each in repeats_of(bars, 0) if each.first == 0 and each.stop == len(bars)]
    return whole[0].times if whole else 1


def _can_jump(names: Sequence[tuple[str, int]], place: int, sections: Sequence[Section]) -> bool:
    """Return whether one jump plays the pass: from a section, and to one, that comes only once."""
    often = Counter(_named(names))
    around = [name for name, _ in (*names[place - 1 : place], *names[place + 1 : place + 2])]
    signs = any(bar.signs for section in sections for bar in section.bars)
    before = any(name == names[place][0] for name, _ in names[:place])
    return before and not signs and all(often[name] == 1 for name in around)


def _with_jump(
    names: Sequence[tuple[str, int]], place: int, sections: Sequence[Section]
) -> Counted:
    name, last = names[place][0], names[place - 1][0]
    after = names[place + 1][0] if place + 1 < len(names) else ""
    back = "D.C." if names[0][0] == name else "D.S."
    signs = [(name, -1, "to coda"), (after, 0, "coda")] if after else [(name, -1, "fine")]
    signs += [(name, 0, "segno")] * (back == "D.S.")
    signs += [(last, -1, f"{back} al {'coda' if after else 'fine'}")]
    marked = tuple(
        replace(section, bars=_marked(section, {at: s for n, at, s in signs if n == section.name}))
        for section in sections
    )
    said = f"the form names {name} for each pass: {back} al {'Coda' if after else 'Fine'}"
    return Counted(marked, _named(names), f"{said} after {last}")


def _marked(section: Section, signs: dict[int, str]) -> tuple[Bar, ...]:
    bars = list(section.bars)
    for at, sign in signs.items():
        bars[at] = replace(bars[at], signs=(*bars[at].signs, sign))
    return tuple(bars)
