"""The order of play: sections in their order, repeats, and jumps to signs.

- A jump is taken once, when its bar is left for good.  D.C. goes to the beginning, D.S. to the
  nearest segno before.  After it repeats are not taken again, and each part is played as in its
  last pass.  *fine* ends the tune, and *to coda* goes on at the coda, where repeats count again.
  ``"D.C. al fine"`` minds the fine alone, ``"D.C. al coda"`` the coda alone, ``"D.C."`` both.
- A pick-up is played again after D.C. only where the bar before it has room for it.

Common practice of engravers and players, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.tune.bar import JUMPS, TuneError
from harmonykit.tune.repeats import Repeat

MOST_PLAYED_BARS = 20_000


@dataclass(frozen=True, slots=True)
class Span:
    """A section at its place in the order; ``silent`` for a pick-up of rest, played once.

    Parameters
    ----------
    name : str
    first : int
        Index of its first bar.
    stop : int
        Index of the bar after its last.
    silent : bool
        Whether it is a pick-up of rest, played once.
    """

    name: str
    first: int
    stop: int
    silent: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign at a bar; ``room`` is what the bar lacks of a whole one, in quarters.

    Parameters
    ----------
    sign : str
        ``"segno"``, ``"coda"``, ``"fine"``, ``"D.C. al fine"`` and so on.
    bar : int
        Index of the bar.
    room : Fraction
        What the bar lacks of a whole one, in quarters.
    """

    sign: str
    bar: int
    room: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Turn:
    """A written bar when its turn comes.

    Parameters
    ----------
    bar : int
        Which written bar.
    part : int
        Which span of the order it is played in.
    time : int
        Which pass of its repeat this is; 1 outside of repeats.
    """

    bar: int
    part: int
    time: int


class Player:
    """A player's way through written bars: sections in order, their repeats and signs."""

    def __init__(
        self,
        order: Sequence[Span],
        repeats: Sequence[Repeat],
        marks: Sequence[Mark],
        pickup: Fraction,
    ) -> None:
        self.opening, self.pickup = order[0], pickup
        self.stations = [
            (part, bar) for part, span in enumerate(order) for bar in range(span.first, span.stop)
        ]
        self.repeat = {b: r for r in repeats for b in range(r.first, r.stop)}
        self.signs: dict[int, dict[str, Mark]] = {}
        for mark in marks:
            self.signs.setdefault(mark.bar, {})[mark.sign] = mark
        # After a jump repeats are not taken, and some signs are minded.
        self.repeats, self.minded = True, tuple[str, ...]()
        # The repeat that the player is in, at which place of the order, and in which pass.
        self.inside: tuple[int, Repeat | None] = (-1, None)
        self.time = 1

    def turns(self) -> Iterator[Turn]:
        """Yield each bar as it is played."""
        at, count, taken = 0, 0, set[int]()
        while at < len(self.stations):
            part, bar = self.stations[at]
            repeat = self.repeat.get(bar)
            if (part, repeat) != self.inside:
                self.inside, self.time = (part, repeat), 1
            time = self.time if self.repeats or repeat is None else repeat.times
            here, at = at, at + 1
            if repeat is None or repeat.plays(bar, time):
                if count == MOST_PLAYED_BARS:
                    raise TuneError(f"more than {MOST_PLAYED_BARS} bars are played")
                count += 1
                yield Turn(bar, part, time)
                signs = self.signs.get(bar, {})
                if "fine" in signs and "fine" in self.minded:
                    return
                if "to coda" in signs and "to coda" in self.minded:
                    at = self._go_to_coda(here)
                    continue
                jump = next((signs[sign] for sign in JUMPS if sign in signs), None)
                if jump and here not in taken and not self._comes_again(bar, time, repeat):
                    taken.add(here)
                    at = self._jump(here, jump)
                    continue
            if repeat and bar == repeat.stop - 1 and self.repeats and time < repeat.times:
                self.time = time + 1
                at = here - (bar - repeat.first)

    def _comes_again(self, bar: int, time: int, repeat: Repeat | None) -> bool:
        """Return whether a later pass plays a bar too."""
        if repeat is None or not self.repeats:
            return False
        return any(repeat.plays(bar, later) for later in range(time + 1, repeat.times + 1))

    def _jump(self, here: int, jump: Mark) -> int:
        """Return where a jump leads, and mind the signs that it names."""
        sign = jump.sign
        self.minded = tuple(
            mind for mind in ("fine", "to coda") if " al " not in sign or mind.endswith(sign[8:])
        )
        self.repeats, self.inside = False, (-1, None)
        return self._beginning(jump) if sign.startswith("D.C.") else self._segno(here)

    def _beginning(self, jump: Mark) -> int:
        if self.opening.silent:
            return self.opening.stop - self.opening.first
        return int(len(self.stations) > 1 and self.pickup > jump.room)

    def _segno(self, here: int) -> int:
        places = self._places("segno")
        return max((n for n in places if n <= here), default=next(iter(places), here + 1))

    def _go_to_coda(self, here: int) -> int:
        self.repeats, self.minded, self.inside = True, (), (-1, None)
        return next((n for n in self._places("coda") if n > here), len(self.stations))

    def _places(self, sign: str) -> list[int]:
        return [n for n, (_, bar) in enumerate(self.stations) if sign in self.signs.get(bar, {})]
