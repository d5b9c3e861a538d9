"""A tune with the intro and the ending that were chosen for it, and where its own bars stand there.

What was decided is held by the tune's own bars and moments, so that it stays where it is while an
intro comes and goes; ``Framing`` says it in those of the tune as it is shown, and back.  Bars of an
intro and of an ending stand as they are written: nothing is decided about them.
"""

from fractions import Fraction
from functools import cached_property, lru_cache

from harmonykit.arrange.idioms.frames import framed
from harmonykit.arrange.slots import phrasing
from harmonykit.tune.tune import INTRO, TAG, Tune
from harmonykit.values import dataclass, replace
from harmonykit.workbook.reharmonise.decisions import FREE, Decisions


@lru_cache(maxsize=8)
def phrases_of(tune: Tune) -> tuple[range, ...]:
    """Return the bars of each phrase, as played from 0; a pick-up belongs to what follows.

    Examples
    --------
    >>> phrases_of(Tune.parse("| C | F | G7 | C | F | C |", key="C"))
    (range(0, 4), range(4, 6))
    """
    found, start = [], 0
    for end in sorted({*phrasing(tune)[0], len(tune.playing) - 1}):
        found.append(range(start, end + 1))
        start = end + 1
    return tuple(found)


@dataclass(frozen=True)
class Framing:
    """A tune, and the tune as it is shown.

    Parameters
    ----------
    own : Tune
    tune : Tune
        With its intro and its ending.
    bars : range
        Those of ``tune``, as played from 0, that are its own.

    Examples
    --------
    >>> own = Tune.parse("| Dm7 | G7 | C6 | C6 |")
    >>> framing = framing_of(own, Decisions(locked=frozenset((2,)), intro="last four bars"))
    >>> framing.bars, sorted(framing.shown(Decisions(locked=frozenset((2,)))).locked)
    (range(4, 8), [6])
    """

    own: Tune
    tune: Tune
    bars: range

    def own_bar(self, bar: int) -> int | None:
        """Return which of the tune's own bars is shown at a place, both as played from 0.

        An intro stands in the place of a pick-up that is silent.
        """
        silent = len(self.own.playing) - len(self.bars)
        return bar - self.bars.start + silent if bar in self.bars else None

    @cached_property
    def numbers(self) -> frozenset[int]:
        """The written numbers, as shown, of the bars that are the tune's own."""
        return frozenset(shown for _, shown in self._numbers)

    @cached_property
    def _numbers(self) -> tuple[tuple[int, int], ...]:
        """The number of each bar that is the tune's own: there, and as it is shown."""
        return tuple(
            (self.own.playing[own].bar.number, self.tune.playing[bar].bar.number)
            for bar in self.bars
            if (own := self.own_bar(bar)) is not None
        )

    @cached_property
    def _later(self) -> Fraction:
        """By how many quarters the tune begins later than by itself."""
        first = self.own_bar(self.bars.start) or 0
        return self.tune.playing[self.bars.start].onset - self.own.playing[first].onset

    @cached_property
    def phrases(self) -> tuple[int | None, ...]:
        """Which of the tune's own phrases each phrase is that is shown; none for what frames it."""
        return tuple(map(self._phrase, phrases_of(self.tune)))

    def _phrase(self, span: range) -> int | None:
        inside = [own for bar in span if (own := self.own_bar(bar)) is not None]
        spans = enumerate(phrases_of(self.own))
        return next((place for place, own in spans if inside and inside[0] in own), None)

    def shown(self, decided: Decisions) -> Decisions:
        """Return decisions by the bars, moments and phrases of the tune as it is shown."""
        if self.tune is self.own:
            return decided
        locked = frozenset(shown for own, shown in self._numbers if own in decided.locked)
        contours = dict(enumerate(decided.contours))
        return replace(
            decided.later(self._later),
            locked=locked,
            contours=tuple(contours.get(-1 if n is None else n, FREE) for n in self.phrases),
        )

    def kept(self, decided: Decisions, shown: Decisions) -> Decisions:
        """Return decisions by the tune's own bars, after they were changed as they are shown.

        Parameters
        ----------
        decided : Decisions
            As they were, by the tune's own bars.
        shown : Decisions
            As they are now, by those that are shown; contours are not changed there.
        """
        if self.tune is self.own:
            return shown
        before = self.shown(decided).locked
        on, off = (
            {own for own, number in self._numbers if number in changed}
            for changed in (shown.locked - before, before - shown.locked)
        )
        back = shown.later(-self._later)
        return replace(back, locked=(decided.locked | on) - off, contours=decided.contours)


def framing_of(own: Tune, decided: Decisions) -> Framing:
    """Return a tune with the intro and the ending that were chosen for it.

    Raises
    ------
    HarmonyError
        If it has such a section already, or no chords.
    """
    tune = framed(own, decided.intro, decided.ending)
    before = _played(tune, INTRO) if decided.intro else 0
    after = _played(tune, TAG) if decided.ending else 0
    return Framing(own, tune, range(before, len(tune.playing) - after))


def _played(tune: Tune, section: str) -> int:
    return sum(played.section == section for played in tune.playing)
