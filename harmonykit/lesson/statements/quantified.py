"""Statements of every, some, none, most, or exactly so many of a group.

``every("dominant seventh", "contains", "diminished triad")`` tries the twelve; ``none("shapes of
level 2", "goes past fret", 5)`` the shapes of a chart.
"""

from collections.abc import Callable

from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements import properties, signature
from harmonykit.lesson.statements.groups import CHORD, NOTE, Around, Group, group_of
from harmonykit.lesson.statements.kinds import Stated, call_text
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words, number

_MOST_NAMED = 5


@dataclass(frozen=True, slots=True)
class _Tally:
    """A group, what is said of it, of which members it is so, and what is true instead."""

    group: Group
    says: properties.Said
    yes: tuple[tuple[str, str], ...]
    no: tuple[tuple[str, str], ...]
    instead: str

    @property
    def whole(self) -> int:
        return len(self.group.members)

    @property
    def label(self) -> str:
        """Of how many it is so."""
        count = len(self.yes)
        verb = self.says.one if count == 1 else self.says.many
        return f"{count} of {self.whole} {self.group.many} {verb}"

    @property
    def those(self) -> str:
        """The members of which it is so, by name, where they are few."""
        named = [name for name, _ in self.yes]
        few = join_words(named[:_MOST_NAMED])
        more = f", and {number(len(named) - _MOST_NAMED)} more" if len(named) > _MOST_NAMED else ""
        return f"{few.replace(' and ', ', ') if more else few}{more}" if named else "none"

    @property
    def found(self) -> str:
        """How it was found, and of which it is so."""
        return f"{self.group.found}: {self.those}"

    @property
    def some(self) -> str:
        """That it is so of some."""
        return f"Some {self.group.several} {self.says.many}"

    @property
    def no_one(self) -> str:
        """That it is so of none."""
        return f"No {self.group.one} {self.says.one}"

    def stated(self, said: str, denied: str, why: str, *, holds: bool) -> Stated:
        """Return what is stated, with what is true in its place."""
        return Stated(holds, self.label, said, denied, why, self.instead)

    def all_alike(self, why: str) -> str:
        """How it was found that all are alike: an example of a chord, of a chart how many."""
        if self.group.sort in (CHORD, NOTE):
            return f"{self.group.found}; {why}"
        return f"{self.group.found}: {len(self.yes)} of {self.whole}"


def _tally(of: str, says: str, about: tuple[str | int, ...], around: Around) -> _Tally:
    group = group_of(of, around)
    known = properties.PROPERTIES[group.sort]
    if says not in known:
        raise LessonError(
            f"{says!r} cannot be said of {group.many}",
            rule=f"what can be said of a {group.sort}: {', '.join(known)}",
            mend=f'every("{of}", "{next(iter(known))}", ...)',
        )
    signature.check_arguments(says, known[says], [signature.Given(each) for each in about])
    said = known[says](*about)
    judged = [(member.name, *said.judge(member)) for member in group.members]
    yes, no = (
        tuple((name, why) for name, holds, why in judged if holds == so) for so in (True, False)
    )
    return _Tally(group, said, yes, no, call_text("just", len(yes), of, says, *about))


def every(around: Around, of: str, says: str, *about: str | int) -> Stated:
    """State that all of a group have a property: a counter-example refuses it."""
    tally = _tally(of, says, about, around)
    one = f"very {tally.group.one} {tally.says.one}"
    why = tally.no[0][1] if tally.no else tally.all_alike(tally.yes[0][1])
    return tally.stated(f"E{one}", f"Not e{one}", why, holds=not tally.no)


def some(around: Around, of: str, says: str, *about: str | int) -> Stated:
    """State that one of a group at least has a property: it names them."""
    tally = _tally(of, says, about, around)
    why = tally.found if tally.yes else tally.all_alike(tally.no[0][1])
    return tally.stated(tally.some, tally.no_one, why, holds=bool(tally.yes))


def none(around: Around, of: str, says: str, *about: str | int) -> Stated:
    """State that none of a group has a property: one that has refuses it."""
    tally = _tally(of, says, about, around)
    why = tally.yes[0][1] if tally.yes else tally.all_alike(tally.no[0][1])
    return tally.stated(tally.no_one, tally.some, why, holds=not tally.yes)


def most(around: Around, of: str, says: str, *about: str | int) -> Stated:
    """State that more than half of a group have a property."""
    tally = _tally(of, says, about, around)
    group, count, many = tally.group, len(tally.yes), tally.says.many
    denied = f"At most half of the {number(tally.whole)} {group.many} {many}"
    why = f"{group.found}: {count} of {tally.whole}"
    return tally.stated(f"Most {group.several} {many}", denied, why, holds=2 * count > tally.whole)


def just(around: Around, count: int, of: str, says: str, *about: str | int) -> Stated:
    """State that exactly so many of a group have a property: it names them."""
    tally = _tally(of, says, about, around)
    those = f"{number(tally.whole)} {tally.group.many}"
    verb = tally.says.one if count == 1 else tally.says.many
    some = f"xactly {number(count)} of the {those}"
    some_of = (f"E{some}", f"Not e{some}")
    heads = {
        0: (f"None of the {those}", f"Some {tally.group.many}"),
        tally.whole: (f"All {those}", f"Not all {those}"),
        1: some_of,
    }
    said, denied = heads.get(count, some_of)
    holds = len(tally.yes) == count
    return tally.stated(f"{said} {verb}", f"{denied} {verb}", tally.found, holds=holds)


QUANTIFIERS: dict[str, Callable[..., Stated]] = {
    each.__name__: each for each in (every, some, none, most, just)
}
