"""How a line of practice is said to a class: in words, where its own text is typed again."""

from collections.abc import Iterator

from harmonykit.sound import rehearsal
from harmonykit.words.numbers import bars_between, in_words, join_words, number, ordinal

_TIMES = {1: "once", 2: "twice"}
_LEFT = {rehearsal.CALL: rehearsal.CALL, rehearsal.FADE: "with more and more bars left to you"}


def said_rehearsal(how: rehearsal.Rehearsal) -> str:
    """Return how a play-along is practised as a teacher says it, a part of a sentence.

    Parameters
    ----------
    how : Rehearsal

    Examples
    --------
    >>> said_rehearsal(rehearsal.Rehearsal.parse("hard change, tempi 60-80, times 2"))
    'the hard change, twice at 60, 70 and 80 per cent of the tempo'
    >>> said_rehearsal(rehearsal.Rehearsal.parse("bars 9-12, call and answer"))
    'bars 9 to 12, call and answer'
    """
    return ", ".join(_parts(how))


def _parts(how: rehearsal.Rehearsal) -> Iterator[str]:
    yield _where(how)
    tempi = f"at {join_words(list(map(str, how.tempi)))} per cent of the tempo"
    often = _TIMES.get(how.times, f"{number(how.times)} times") if how.times else ""
    if said := " ".join(filter(None, (often, tempi if how.tempi != (100,) else ""))):
        yield said
    usual = rehearsal.Rehearsal().parts
    if gone := [part for part in usual if part not in how.parts]:
        yield f"without the {' and '.join(gone)}"
    if more := [part for part in rehearsal.PARTS if part in how.parts and part not in usual]:
        yield f"with the {' and '.join(more)}"
    if how.beats and rehearsal.CLICKS in how.parts:
        beats = join_words(list(map(str, how.beats)))
        yield f"with the click on beat{'s' if how.beats[1:] else ''} {beats}"
    if how.left:
        yield _LEFT[how.left]
    if how.names:
        yield "the next chord told beforehand" + (
            " the first time" if how.names == rehearsal.ONCE else ""
        )
    yield from _before(how)


def _where(how: rehearsal.Rehearsal) -> str:
    if how.bars:
        return bars_between(*how.bars)
    if how.hard:
        which = "the hard change" if how.hard == 1 else f"the {ordinal(how.hard)} hard change"
        longer = how.loop != rehearsal.LOOP_BARS[0]
        return f"{which} in {number(how.loop)} bars" if longer else which
    return "the leading tones, sung" if how.sing else "the whole tune"


def _before(how: rehearsal.Rehearsal) -> Iterator[str]:
    if how.intro:
        several = "s" if how.intro > 1 else ""
        long = "" if how.intro == rehearsal.BY_GROOVE else f" of {number(how.intro)} bar{several}"
        yield f"after an intro{long}"
    if how.count_in:
        yield f"after {in_words(how.count_in, 'bar')} of count-in"
