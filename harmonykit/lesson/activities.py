"""The plan of a class: activities with minutes that add up to its length.

Conventions.  One meeting has the levels side by side; levels in a row are a meeting each.  What is
fixed of every meeting: tune up, warm up, begin from sound, the changes that will break down, a
question in pairs, half and half, silence, one closing question, practice at home.  Between them
stand the sections of the teacher's text.  Minutes follow from what is said and played, and are
shared out by the largest remainder, so that they add up.
"""

import re
from collections.abc import Iterator, Sequence

from harmonykit.lesson import fixed_parts
from harmonykit.lesson.fixed_parts import Activity
from harmonykit.lesson.handout.changes import bars_first_said
from harmonykit.lesson.plan.grips import new_grips
from harmonykit.lesson.plan.model import PLANS, Chart, Lesson, Picture, Played, Section, Table, Text
from harmonykit.lesson.together import heard, rescue
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted_word

WORDS_A_MINUTE = 150
"""Words read aloud in a minute (common practice, no source)."""

LESS = 10
"""Minutes that may be missing: what is left out then is said."""

NO_SOUND = "–"
"""Stands for the sound of a level that is played without one."""

Pair = tuple[Chord | None, Chord | None]
_WORD = re.compile(r"\w+", re.UNICODE)
_TALK, _TRY, _LOOK = 1.5, 0.5, 1.0
_SHOW, _ROUNDS = 2.0, 2.0
_FIRST_SPARED = ("Half and half", "Warm up", "In pairs", "Silence", "Begin with sound")


@dataclass(frozen=True, slots=True)
class Meeting:
    """One time that the class meets: its activities in order, and what may be left out."""

    title: str
    activities: tuple[Activity, ...]

    @property
    def minutes(self) -> float:
        """How long it lasts: what its activities last together."""
        return sum(one.minutes for one in self.activities)

    @property
    def spared(self) -> tuple[int, ...]:
        """The activities, from 0, that are left out with ``LESS`` minutes less.

        Of several sections with a chart the last one goes first, it is for another day; the others
        stay as long as anything else may go.
        """
        charts = [
            n for n, one in enumerate(self.activities) if one.section is not None and one.sound
        ]
        another = charts[1:][::-1]
        names = {one.title: n for n, one in enumerate(self.activities)}
        fixed = [names[title] for title in _FIRST_SPARED if title in names]
        order = [*another[:1], *fixed, *another[1:]]
        left, found = float(LESS), list[int]()
        for place in order:
            if left > 0:
                found.append(place)
                left -= self.activities[place].minutes
        return tuple(sorted(found))


def meetings(lesson: Lesson) -> tuple[Meeting, ...]:
    """Return the meetings of a lesson, each with its activities.

    Parameters
    ----------
    lesson : Lesson
    """
    if _is_one(lesson):
        return (_meeting(lesson, "", range(len(lesson.sections)), lesson.played),)
    found = []
    for name, part in _by_level(lesson):
        played = [p for p in lesson.played if p.level.name == name]
        found.append(_meeting(lesson, name, part, played))
    return tuple(found)


def count_meetings(lesson: Lesson) -> int:
    """Return in how many meetings a lesson is given."""
    return 1 if _is_one(lesson) else len(list(_by_level(lesson)))


def _is_one(lesson: Lesson) -> bool:
    return lesson.front.plan == PLANS[0] or len(lesson.played) < 2


def _by_level(lesson: Lesson) -> Iterator[tuple[str, list[int]]]:
    """Yield each level that has a chart, with the sections up to it; the last has the rest."""
    charts = [(index, _charts(section)) for index, section in enumerate(lesson.sections)]
    stops = [(index, levels[0]) for index, levels in charts if levels]
    starts = [0, *(index + 1 for index, _ in stops[:-1])]
    ends = [*(index + 1 for index, _ in stops[:-1]), len(lesson.sections)]
    for (_, level), start, end in zip(stops, starts, ends, strict=True):
        yield lesson.played[level].level.name, list(range(start, end))


def _charts(section: Section) -> list[int]:
    return [block.level for block in section.blocks if isinstance(block, Chart)]


def for_the_teacher(section: Section) -> bool:
    """Whether a section has nothing to say, show or play to a class: tables alone."""
    return bool(section.blocks) and all(isinstance(block, Table) for block in section.blocks)


def section_minutes(lesson: Lesson, section: Section) -> float:
    """Return the minutes of a section: its words read aloud, and each chart played once.

    Parameters
    ----------
    lesson : Lesson
    section : Section
        One of ``lesson.sections``.

    Returns
    -------
    float
        Minutes.

    Examples
    --------
    >>> lesson = hk.lesson.read_lesson("four_dominants")
    >>> hk.lesson.section_minutes(lesson, lesson.sections[0]) > 0
    True
    """
    words = sum(len(_WORD.findall(b.markdown)) for b in section.blocks if isinstance(b, Text))
    played = [lesson.played[level] for level in _charts(section)]
    return words / WORDS_A_MINUTE + sum(p.performance.seconds for p in played) / 60


def _wanted(lesson: Lesson, section: Section) -> float:
    """Return what a section wants of a meeting: told, looked at, tried, its charts practised."""
    charts = _charts(section)
    looked = sum(isinstance(block, Picture) for block in section.blocks)
    played = sum(lesson.played[level].performance.seconds for level in charts) / 60
    told = section_minutes(lesson, section) - played
    return _TALK * told + _TRY + _LOOK * looked + _SHOW * len(charts) + _ROUNDS * played


def _meeting(
    lesson: Lesson, title: str, sections: Sequence[int], played: Sequence[Played]
) -> Meeting:
    own = [index for index in sections if not for_the_teacher(lesson.sections[index])]
    charts = [_charts(lesson.sections[index]) for index in own]
    begun = fixed_parts.first_moment(lesson, played)
    told = [
        _told(lesson, index, sum(charts[:n], []), begun[1].chords if begun else None)
        for n, index in enumerate(own)
    ]
    first = next((n for n, one in enumerate(told) if one.sound), -1) + 1
    found = [
        *fixed_parts.opening(lesson, played),
        *told[:first],
        *fixed_parts.breaking(played),
        *told[first:],
    ]
    found += fixed_parts.after(lesson, played)
    return Meeting(title, tuple(_shared(found, lesson.front.minutes)))


def _shared(activities: Sequence[Activity], total: int) -> Iterator[Activity]:
    """Yield activities with minutes that add up to a total, in the shares that they want.

    Each has a minute at least; where there are more than minutes, ten seconds.
    """
    unit = 1 if len(activities) * 1.3 <= total else 6
    units = total * unit
    wanted = sum(one.minutes for one in activities)
    shares = [max(1.0, one.minutes / wanted * units) for one in activities]
    whole = [int(share) for share in shares]
    order = sorted(range(len(shares)), key=lambda n: (whole[n] - shares[n], n))
    while sum(whole) < units:
        whole[order[(units - sum(whole) - 1) % len(order)]] += 1
    while sum(whole) > units:
        whole[max(range(len(whole)), key=lambda n: (whole[n], n))] -= 1
    for one, minutes in zip(activities, whole, strict=True):
        yield replace(one, minutes=minutes / unit)


def _told(lesson: Lesson, index: int, before: Sequence[int], begun: Pair | None) -> Activity:
    """Return a section of the teacher's text as an activity, with what is done with its charts.

    ``before`` are the levels that the class has played already, ``begun`` the pair of chords that
    it began with.
    """
    section = lesson.sections[index]
    charts, wanted = _charts(section), _wanted(lesson, section)
    title = section.title or "To begin with"
    if not charts:
        return Activity(title, wanted, section=index)
    played, earlier = lesson.played[charts[0]], [lesson.played[level] for level in before]
    moment = _own_moment(played, earlier, begun)
    lines = (*_new_grips(lesson, played), _practised(played, moment, again=bool(before)))
    fresh = moment is not None and before and moment.chords != begun
    listen = list(heard.said_of(moment))[:2] if moment and fresh else []
    listen = [f"Listen first to {moment.loop}. {' '.join(listen)}"] if moment and listen else []
    sound = fixed_parts.sound_of(lesson, played) or NO_SOUND
    return Activity(title, wanted, lines, sound, index, tuple(listen))


def _own_moment(
    played: Played, earlier: Sequence[Played], begun: Pair | None
) -> heard.Moment | None:
    """Return the moment of a level that no level before has; its main one where all have come."""
    known = {begun} | {
        moment.chords for one in earlier for moment in heard.moments(one.arrangement)
    }
    own = heard.moments(played.arrangement)
    fresh = (m for m in own if m.chords not in known and fixed_parts.sung(m))
    return next(fresh, None) or heard.main_moment(played.arrangement)


def _practised(played: Played, moment: heard.Moment | None, *, again: bool) -> str:
    """Return what the class does with a level, as a list; what comes again is said in short."""
    steps = ["Show: play the chart once; the class watches the fretting hand."]
    steps.append("Echo: two bars from you, the same two bars from the class.")
    if again:
        steps = ["Show and echo, as at the first level."]
    if loop := _looped(played, moment):
        steps.append(f"Loop: {loop} at {fixed_parts.tempi(played)}.")
    if moment is not None:
        if (led := fixed_parts.sung(moment)) is not None:
            swap = "" if again else " Then the other way round."
            steps.append(
                f"Half the class sings {led} over {moment.loop}; the other half plays.{swap}"
            )
    steps.append("Play it through.")
    return "\n".join(f"{number}. {step}" for number, step in enumerate(steps, 1))


def _looped(played: Played, moment: heard.Moment | None) -> str:
    """Return the two bars that are looped: those that sheet and page practise first."""
    way = played.arrangement
    hard = rescue.bars_first(rescue.practised_changes(way, played.level.tempo))
    if hard is None:
        return moment.loop if moment is not None else ""
    return bars_first_said(hard, way)[0]


def _new_grips(lesson: Lesson, played: Played) -> Iterator[str]:
    """Yield the grips that are new at a level, each beside the known one that is nearest."""
    knows, place = lesson.front.knows, lesson.played.index(played)
    if knows is None and not place:
        return
    fresh = new_grips([one.arrangement for one in lesson.played], knows)[place]
    lines = [
        f"- {one.shown.chord.unicode} {one.shown.shape.digits}"
        f"{f': {one.kin}' if one.kin and one.kin.helps else ''}"
        for one in fresh
    ]
    count = len(fresh)
    said = counted_word(count).capitalize() if count else "No"
    grips = "grip is" if count == 1 else "grips are"
    whom = f"new to {knows.name}" if knows is not None and not place else "new"
    yield "\n".join([f"{said} {grips} {whom}{':' if lines else '.'}", "", *lines]).strip()
