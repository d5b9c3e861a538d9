"""How a play-along is practised: which bars, at which tempi, what is heard, what is left silent.

A rehearsal is typed as a line of parts between commas, in any order::

    bars 9-10                 these bars alone, by their printed numbers; else the whole tune
    hard change               two bars from the chord before the hardest change; "hard change 2"
                              for the second hardest, "hard change 4 bars" for four bars
    tempi 60-100              each time through faster by ten per cent; "tempi 50 100", "tempo 70"
    times 4                   so often at each tempo; else once, a loop of up to 4 bars four times
    count-in 2                bars of count-in, 1 or 2
    intro                     the last bars of the tune before it, without the melody: as many as
                              the groove says, or "intro 4"
    without strum             a part is silent: strum, bass, percussion, melody, click
    with melody               a part is heard that else is not
    click 2+4                 the click on these beats of the bar alone
    call and answer           two bars are played, two are left to the class
    disappearing              two bars of eight are silent; from the third eight on four
    names once                the next chord is told a beat before, the first time; "names" always
    leading tones             instead of the tune: the root of each dominant, over which its leading
                              tone is sung; a bar later it is heard, and then resolved

Conventions.  Tempi are per cent of the level's own.  A bar that is silent has its clicks still.  In
a file the root of the next chord sounds in place of its name; a page speaks it by the voice of the
browser: what speaks without a network is not to be had as a Python package under a licence that
lets it be handed on freely.  The page's script has the same rules in ``page/form.js``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from difflib import get_close_matches
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.tune.groove.value import MOST_INTRO
from harmonykit.values import dataclass, fields, replace

STRUM, BASS_PART, PERCUSSION, MELODY, CLICKS = "strum", "bass", "percussion", "melody", "click"
PARTS = (STRUM, BASS_PART, PERCUSSION, MELODY, CLICKS)
CALL, FADE, SING = "call and answer", "disappearing", "leading tones"
ONCE, ALWAYS, WHOLE = "once", "always", "whole tune"
# As many bars of an intro as the groove says.
BY_GROOVE = -1
SLOWEST, FASTEST, MOST_TIMES, _TEN = 30, 150, 20, 10
LOOP_BARS = (2, 4)


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """How a play-along is practised.

    Parameters
    ----------
    bars : tuple of (int, int), optional
        The first bar and the last by their printed numbers; the whole tune where not given.
    hard : int
        The bars round this change instead, counted from the hardest: 1; 0 for none.
    loop : int
        How many bars that is, 2 or 4.
    tempi : tuple of int
        Per cent of the tempo, one after another without a stop.
    times : int
        How often the bars are played at each tempo; 0 for once, or four times for short loops.
    count_in : int
        Bars of count-in, 1 or 2; 0 for one, or two where one would be short.
    intro : int
        How many bars are played before the whole tune; 0 for none, -1 for as many as its groove
        says.
    parts : tuple of str
        What is heard, of ``strum``, ``bass``, ``percussion``, ``melody`` and ``click``.
    beats : tuple of int
        On which beats the click is heard; on all where empty.
    left : {"", "call and answer", "disappearing"}
        Which bars are left to the class.
    names : {"", "once", "always"}
        Whether the next chord is told a beat before it comes.
    sing : bool
        Whether leading tones are sung instead.

    Examples
    --------
    >>> hk.sound.Rehearsal.parse("bars 9-10, tempi 60-100, click 2+4").tempi
    (60, 70, 80, 90, 100)
    """

    bars: tuple[int, int] | None = None
    hard: int = 0
    loop: int = 2
    tempi: tuple[int, ...] = (100,)
    times: int = 0
    count_in: int = 0
    intro: int = 0
    parts: tuple[str, ...] = (STRUM, BASS_PART, PERCUSSION, CLICKS)
    beats: tuple[int, ...] = ()
    left: str = ""
    names: str = ""
    sing: bool = False

    @classmethod
    def parse(cls, text: str) -> Rehearsal:
        """Read a rehearsal from a line of text.

        Parameters
        ----------
        text : str
            Parts between commas.

        Returns
        -------
        Rehearsal

        Raises
        ------
        HarmonyError
            For a part that is not known or said twice, with what may be typed.

        Examples
        --------
        >>> how = hk.sound.Rehearsal.parse("Without bass, hard change 4 bars")
        >>> how.words
        'hard change 4 bars, without bass'
        """
        found, said = cls(), set[str]()
        for part in filter(None, (each.strip() for each in text.split(","))):
            words = " ".join(part.lower().replace("\N{EN DASH}", "-").split())
            name, read, rest = _reader(words)
            if name in said and name not in ("with", "without"):
                raise HarmonyError(f"{part!r}: {name} is said twice", rule="each part once")
            said.add(name)
            found = read(found, rest)
        if found.bars and found.hard:
            raise HarmonyError("bars and hard change in one line", rule="one of the two")
        if found.intro and (found.bars or found.hard):
            raise HarmonyError("an intro and some bars in one line", rule="one of the two")
        if found.sing and said - {SING, "tempi", "count-in"}:
            raise HarmonyError(
                f"{SING} and {min(said - {SING})} in one line", rule="one of the two"
            )
        return found

    @property
    def words(self) -> str:
        """The rehearsal as a line of text that can be typed again."""
        return ", ".join(_words(self)) or WHOLE

    def __repr__(self) -> str:
        changed = [f.name for f in fields(self) if getattr(self, f.name) != f.default]
        return f"Rehearsal({', '.join(f'{name}={getattr(self, name)!r}' for name in changed)})"


_Read = Callable[[Rehearsal, str], Rehearsal]
_NUMBER = re.compile(r"[0-9]{1,4}")


def _bars(how: Rehearsal, rest: str) -> Rehearsal:
    ends = _numbers(rest, "bars", "bars 9-10", 1, 2000)
    if len(ends) > 2 or ends[0] > ends[-1]:
        raise HarmonyError(f"bars {rest}", rule="the first bar and the last", mend="bars 9-10")
    return replace(how, bars=(ends[0], ends[-1]))


def _hard(how: Rehearsal, rest: str) -> Rehearsal:
    found = re.fullmatch(r"(?:([1-9]) ?)?(?:([24]) bars)?", rest)
    if found is None:
        raise HarmonyError(
            f"hard change {rest}", rule="which one, and 2 or 4 bars", mend="hard change 2 4 bars"
        )
    return replace(how, hard=int(found[1] or 1), loop=int(found[2] or LOOP_BARS[0]))


def _tempi(how: Rehearsal, rest: str) -> Rehearsal:
    found = _numbers(rest.replace("%", ""), "tempi", "tempi 60-100", SLOWEST, FASTEST)
    if "-" in rest and len(found) == 2:
        low, high = found
        step = _TEN if high >= low else -_TEN
        steps = [*range(low, high, step), high]
        found = tuple(steps)
    return replace(how, tempi=found)


def _times(how: Rehearsal, rest: str) -> Rehearsal:
    return replace(how, times=_numbers(rest, "times", "times 4", 1, MOST_TIMES)[0])


def _count_in(how: Rehearsal, rest: str) -> Rehearsal:
    return replace(
        how, count_in=_numbers(rest.partition(" ")[0], "count-in", "count-in 2", 1, 2)[0]
    )


def _intro(how: Rehearsal, rest: str) -> Rehearsal:
    plain = rest.removesuffix(" bars")
    bars = _numbers(plain, "intro", "intro 4", 1, MOST_INTRO)[0] if rest else BY_GROOVE
    return replace(how, intro=bars)


def _without(how: Rehearsal, rest: str) -> Rehearsal:
    gone = _named(rest, "without")
    return replace(how, parts=tuple(part for part in how.parts if part not in gone))


def _with(how: Rehearsal, rest: str) -> Rehearsal:
    more = (*how.parts, *_named(rest, "with"))
    return replace(how, parts=tuple(part for part in PARTS if part in more))


def _click(how: Rehearsal, rest: str) -> Rehearsal:
    plain = rest.removeprefix("on ").replace(" and ", "+")
    return replace(how, beats=_numbers(plain, "click", "click 2+4", 1, 16))


def _names(how: Rehearsal, rest: str) -> Rehearsal:
    if rest not in ("", ONCE, ALWAYS):
        raise HarmonyError(f"names {rest}", rule="names, or names once")
    return replace(how, names=rest or ALWAYS)


_READERS: dict[str, _Read] = {
    "bars": _bars,
    "bar": _bars,
    "hard change": _hard,
    "tempi": _tempi,
    "tempo": _tempi,
    "times": _times,
    "count-in": _count_in,
    "intro": _intro,
    "without": _without,
    "with": _with,
    "click": _click,
    CALL: lambda how, _: replace(how, left=CALL),
    FADE: lambda how, _: replace(how, left=FADE),
    "names": _names,
    SING: lambda how, _: replace(how, sing=True),
    WHOLE: lambda how, _: how,
}


def _reader(words: str) -> tuple[str, _Read, str]:
    """Return which part it is, what reads it, and what is said behind its name."""
    for name, read in _READERS.items():
        rest = words.removeprefix(name)
        if rest != words and rest[:1] in ("", " "):
            if rest and name in (CALL, FADE, SING, WHOLE):
                raise HarmonyError(f"{words!r}", rule=f"{name}, and no more", mend=name)
            return {"bar": "bars", "tempo": "tempi"}.get(name, name), read, rest.strip()
    first = words.partition(" ")[0]
    near = get_close_matches(words, _READERS, 1) or get_close_matches(first, _READERS, 1)
    raise HarmonyError(
        f"{words!r} is unknown in a line of practice",
        rule="parts between commas: bars 9-10, hard change, tempi 60-100, times 4, count-in 2, "
        "intro, without bass, with melody, click 2+4, call and answer, disappearing, names once, "
        "leading tones",
        mend=near[0] if near else "bars 9-10, tempi 60-100",
    )


def _numbers(text: str, name: str, example: str, least: int, most: int) -> tuple[int, ...]:
    pieces = [piece for piece in re.split(r"[-+ ]+", text.strip()) if piece]
    if not pieces or not all(_NUMBER.fullmatch(piece) for piece in pieces):
        raise HarmonyError(f"{name} {text}".rstrip(), rule="numbers", mend=example)
    found = tuple(map(int, pieces))
    if not all(least <= each <= most for each in found):
        raise HarmonyError(f"{name} {text}", rule=f"{least} to {most}", mend=example)
    return found


def _named(text: str, what: str) -> tuple[str, ...]:
    found = tuple(filter(None, re.split(r"[+ ]+|\band\b", text)))
    for part in found:
        if part not in PARTS:
            near = get_close_matches(part, PARTS, 1)
            raise HarmonyError(
                f"{what} {part}", rule=f"a part: {', '.join(PARTS)}", mend=near[0] if near else ""
            )
    if not found:
        raise HarmonyError(f"{what}: which part?", rule=", ".join(PARTS), mend=f"{what} bass")
    return found


def _words(how: Rehearsal) -> Iterator[str]:
    usual: dict[str, Any] = {field.name: field.default for field in fields(Rehearsal)}
    if how.bars:
        first, last = how.bars
        yield f"bar {first}" if first == last else f"bars {first}-{last}"
    if how.hard:
        which = f" {how.hard}" if how.hard > 1 else ""
        yield f"hard change{which}" + (f" {how.loop} bars" if how.loop != usual["loop"] else "")
    if how.tempi != usual["tempi"]:
        yield _said_tempi(how.tempi)
    yield from (f"{name} {number}" for name, number in
                (("times", how.times), ("count-in", how.count_in)) if number)  # fmt: skip
    if how.intro:
        yield "intro" if how.intro == BY_GROOVE else f"intro {how.intro}"
    if gone := [part for part in usual["parts"] if part not in how.parts]:
        yield f"without {' and '.join(gone)}"
    if more := [part for part in how.parts if part not in usual["parts"]]:
        yield f"with {' and '.join(more)}"
    if how.beats:
        yield f"click {'+'.join(map(str, how.beats))}"
    yield from [SING] * how.sing
    yield from filter(None, (how.left, {ONCE: "names once", ALWAYS: "names"}.get(how.names)))


def _said_tempi(tempi: tuple[int, ...]) -> str:
    if len(tempi) == 1:
        return f"tempo {tempi[0]}"
    steps = tuple([*range(tempi[0], tempi[-1], _TEN), tempi[-1]])
    if len(tempi) > 2 and steps == tempi:
        return f"tempi {tempi[0]}-{tempi[-1]}"
    return f"tempi {' '.join(map(str, tempi))}"
