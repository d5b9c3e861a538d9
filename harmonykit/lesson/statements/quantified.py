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
    """A group, what is said of it, and of which members it is so, each with its reason."""

    group: Group
    says: properties.Said
    yes: tuple[tuple[str, str], ...]
    no: tuple[tuple[str, str], ...]

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
    return _Tally(
        group,
        said,
        tuple((name, why) for name, holds, why in judged if holds),
        tuple((name, why) for name, holds, why in judged if not holds),
    )


def every(around: Around, of: str, says: str, *about: str | int) -> Stated:
    """State that all of a group have a property: a counter-example refuses it."""
    tally = _tally(of, says, about, around)
    first = tally.yes[0][1] if tally.yes else ""
    counter = tally.no[0][1] if tally.no else ""
    return Stated(
        not tally.no,
        tally.label,
        f"Every {tally.group.one} {tally.says.one}",
        f"Not every {tally.group.one} {tally.says.one}",
        counter or tally.all_alike(first),
        _instead(tally, of, says, about),
    )


def some(around: Around, of: str, says: str, *about: str | int) -> Stated:
    """State that one of a group at least has a property: it names them."""
    tally = _tally(of, says, about, around)
    return Stated(
        bool(tally.yes),
        tally.label,
        f"Some {tally.group.several} {tally.says.many}",
        f"No {tally.group.one} {tally.says.one}",
        tally.found if tally.yes else tally.all_alike(tally.no[0][1]),
        _instead(tally, of, says, about),
    )


def none(around: Around, of: str, says: str, *about: str | int) -> Stated:
    """State that none of a group has a property: one that has refuses it."""
    tally = _tally(of, says, about, around)
    return Stated(
        not tally.yes,
        tally.label,
        f"No {tally.group.one} {tally.says.one}",
        f"Some {tally.group.several} {tally.says.many}",
        tally.all_alike(tally.no[0][1]) if not tally.yes else tally.yes[0][1],
        _instead(tally, of, says, about),
    )


def most(around: Around, of: str, says: str, *about: str | int) -> Stated:
    """State that more than half of a group have a property."""
    tally = _tally(of, says, about, around)
    return Stated(
        2 * len(tally.yes) > tally.whole,
        tally.label,
        f"Most {tally.group.several} {tally.says.many}",
        f"At most half of the {number(tally.whole)} {tally.group.many} {tally.says.many}",
        f"{tally.group.found}: {len(tally.yes)} of {tally.whole}",
        _instead(tally, of, says, about),
    )


def just(around: Around, count: int, of: str, says: str, *about: str | int) -> Stated:
    """State that exactly so many of a group have a property: it names them."""
    tally = _tally(of, says, about, around)
    those = f"{number(tally.whole)} {tally.group.many}"
    verb = tally.says.one if count == 1 else tally.says.many
    heads = {
        0: (f"None of the {those}", f"Some {tally.group.many}"),
        tally.whole: (f"All {those}", f"Not all {those}"),
        1: (f"Exactly one of the {those}", f"Not exactly one of the {those}"),
    }
    some = f"xactly {number(count)} of the {those}"
    said, denied = heads.get(count, (f"E{some}", f"Not e{some}"))
    return Stated(
        len(tally.yes) == count,
        tally.label,
        f"{said} {verb}",
        f"{denied} {verb}",
        tally.found,
        _instead(tally, of, says, about),
    )


def _instead(tally: _Tally, of: str, says: str, about: tuple[str | int, ...]) -> str:
    return call_text("just", len(tally.yes), of, says, *about)


QUANTIFIERS: dict[str, Callable[..., Stated]] = {
    "every": every,
    "some": some,
    "none": none,
    "most": most,
    "just": just,
}
