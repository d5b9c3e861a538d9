"""A desk on which chords are refused, locked and exchanged, each at its place, and all undone.

What was decided is heeded at once around its place, with what stands further off as it was; then
the whole tune is sought anew.  What was set before is kept, so that it can be undone and done
again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from harmonykit.arrange import arrangement, revising
from harmonykit.arrange.places import Alternative
from harmonykit.arrange.slots import slots_of
from harmonykit.errors import HarmonyError
from harmonykit.workbook.base.scene import Value
from harmonykit.workbook.base.work import Worker
from harmonykit.workbook.reharmonise import decisions
from harmonykit.workbook.reharmonise.desk import Desk
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import FIRST, with_first

MOST = 200
# What is only looked at stays as it is.
_LOOKS = ("beside", "view", "order", "all_numbers")


class History:
    """The states that were left, and those that were undone.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.state import toggled
    >>> history, first = History(), ReharmoniseState(text="| C6 |")
    >>> second = toggled(first, 1)
    >>> history.left(first)
    >>> history.undo(second) == first, history.redo(first) == second, history.can_redo
    (True, True, False)
    """

    def __init__(self) -> None:
        self._before: list[ReharmoniseState] = []
        self._after: list[ReharmoniseState] = []
        self._about = ""

    @property
    def can_undo(self) -> bool:
        """Whether something can be undone."""
        return bool(self._before)

    @property
    def can_redo(self) -> bool:
        """Whether something that was undone can be done again."""
        return bool(self._after)

    def left(self, state: ReharmoniseState, about: str = "") -> None:
        """Note that a state was left; what is about the same as before is one step with it.

        Parameters
        ----------
        state : ReharmoniseState
        about : str
            What was set: a text as it is typed on, another chord at the same place.
        """
        if not (about and about == self._about and self._before):
            self._before.append(state)
            del self._before[:-MOST]
        self._about = about
        self._after.clear()

    def undo(self, now: ReharmoniseState) -> ReharmoniseState | None:
        """Return the state before, or nothing where there is none."""
        return self._turn(now, self._before, self._after)

    def redo(self, now: ReharmoniseState) -> ReharmoniseState | None:
        """Return the state that was undone last, or nothing where there is none."""
        return self._turn(now, self._after, self._before)

    def _turn(
        self, now: ReharmoniseState, back: list[ReharmoniseState], on: list[ReharmoniseState]
    ) -> ReharmoniseState | None:
        if not back:
            return None
        on.append(now)
        self._about = ""
        looks = {name: getattr(now, name) for name in _LOOKS}
        return replace(back.pop(), **looks)


OTHER, HOLD, ALLOW, BAR = "other-", "hold-", "allow-", "bar-"


class DecidingDesk(Desk):
    """A desk with a place that is looked at, and a history.

    Attributes
    ----------
    place : Place or None
        The chord that was pressed, while its menu is open.
    others : tuple of Alternative, or None
        What could stand there, once it is known.

    Examples
    --------
    >>> desk = DecidingDesk("slack_water_waltz", moves=["leading-tone diminished"], keep=None)
    >>> desk.wait(60)
    True
    >>> (first, *_) = desk.way.added
    >>> desk.press(next(p.id for p in desk.places if desk.way.steps[p.index] == first))
    >>> desk.refuse()
    >>> desk.wait(60), first in desk.chosen.arrangement.added
    (True, False)
    """

    def __init__(self, *given: Any, **asked: Any) -> None:
        self.place: decisions.Place | None = None
        self.others: tuple[Alternative, ...] | None = None
        self.history = History()
        self._asked_about = ""
        self._offerer: Worker[tuple[Alternative, ...]] = Worker(self._offered, self._failed)
        super().__init__(*given, **asked)

    # What is on it.

    @property
    def way(self) -> arrangement.Arrangement:
        """The arrangement that is shown.

        Raises
        ------
        HarmonyError
            If nothing was found yet.
        """
        if self.chosen is None:
            raise HarmonyError("nothing found yet")
        return self.chosen.arrangement

    @property
    def places(self) -> tuple[decisions.Place, ...]:
        """The place of each chord that is shown."""
        return decisions.places_of(self.way)

    def is_free(self, place: decisions.Place) -> bool:
        """Whether a place is in the tune itself: an intro and an ending stand as written."""
        return self.ways is None or place.slot.bar in self.ways.framing.bars

    def parts(self) -> tuple[str, ...]:
        """Return what can be pressed."""
        if self.chosen is None:
            return ()
        return (
            *super().parts(),
            *(place.id for place in self.places),
            *(f"{HOLD}{bar}" for bar in (self.ways.framing.bars if self.ways else ())),
            *(f"{OTHER}{number}" for number in range(len(self.others or ()))),
            *(f"{ALLOW}{number}" for number in range(len(self._state.decided.refused))),
        )

    def wait(self, seconds: float = 60.0) -> bool:
        """Wait until nothing is searched any more; whether that is so."""
        return super().wait(seconds) and self._offerer.wait(seconds)

    # What can be done.

    def set(self, control: str, value: Value = "") -> None:
        """Set a control; a text that is typed on is one step of the history."""
        self._asked_about = "text" if control == "text" else ""
        super().set(control, value)

    def press(self, part: str) -> None:
        """Press a part; a chord opens its menu, what could stand there takes its place."""
        kind, _, name = part.partition("-")
        pressed: dict[str, Callable[[str], None]] = {
            decisions.PLACE: lambda _: self._open(part),
            OTHER: lambda number: self._take(int(number)),
            HOLD: lambda bar: self.hold_bar(int(bar)),
            ALLOW: lambda number: self._decide(self.decided.allow(int(number))),
            BAR: lambda bar: self._decide(self.decided.toggled(int(bar))),
        }
        if f"{kind}-" not in pressed:
            super().press(part)
            return
        self.check(part)
        pressed[f"{kind}-"](name)

    def _open(self, part: str) -> None:
        way = self.way
        place = decisions.place_at(way, part)
        self.place, self.others = place, None
        if self.is_free(place):
            self._offerer.start(lambda _: decisions.others_at(way, place))
        else:
            self._offerer.stop()
        self._go(replace(self._state, step=place.index))

    def close(self) -> None:
        """Close the menu of a place."""
        self.place, self.others = None, None
        self._offerer.stop()
        self._show()

    def refuse(self) -> None:
        """Refuse the chord of the place: it is not to stand there."""
        place = self._need_place()
        chord = self.way.steps[place.index].chord
        if chord is None or not self.way.steps[place.index].added:
            raise HarmonyError(
                "the tune's own chord cannot be refused", mend="choose another chord in its place"
            )
        self._decide(self.decided.refuse(place.slot, chord))
        self.close()

    def lock(self) -> None:
        """Lock what stands at the place, or let it change if it was locked."""
        place, decided = self._need_place(), self.decided
        if not self.is_free(place):
            raise HarmonyError(
                "intros and endings stand as they are written", mend="lock a chord of the tune"
            )
        if decided.at(place.slot.onset) is None:
            self._decide(decisions.locked(decided, self.way, [place.slot]))
        else:
            self._decide(decided.free([place.slot.onset]))
        self.close()

    def hold_bar(self, bar: int) -> None:
        """Lock what stands in a bar as played, counted from 0, or let it change if it was."""
        way, decided = self.way, self.decided
        slots = decisions.slots_in(way, bar)
        number = way.tune.playing[bar].bar.number
        if bar in decisions.held_bars(way, decided):
            free = decided.free(slot.onset for slot in slots)
            self._decide(replace(free, locked=free.locked - {number}))
        else:
            self._decide(decisions.locked(decided, way, slots))

    def _take(self, number: int) -> None:
        """Let another row of chords stand at the place; the menu stays, to try one more."""
        place, others = self._need_place(), self.others or ()
        self._asked_about = f"{decisions.PLACE}{place.number}"
        self._decide(self.decided.want([others[number].chosen]))
        self.place = decisions.place_at(self.way, f"{decisions.PLACE}{place.number}-0")

    def undo(self) -> None:
        """Undo what was set last."""
        self._back(self.history.undo(self._state))

    def redo(self) -> None:
        """Do again what was undone last."""
        self._back(self.history.redo(self._state))

    def _need_place(self) -> decisions.Place:
        if self.place is None:
            raise HarmonyError("no chord was pressed", mend="press a chord of the chart")
        return self.place

    # How it is found.

    def _decide(self, decided: decisions.Decisions) -> None:
        """Heed a decision: at once around its place, then in the whole tune."""
        state = replace(self._state, decided=self._kept(decided), chosen=FIRST)
        self._revise(state)
        self._go(state)

    def _revise(self, state: ReharmoniseState) -> None:
        with self._lock:
            if self.ways is None:
                return
            way, ways = self.way, self.ways
            try:
                shown = ways.framing.shown(state.decided)
                quick = revising.revise(way, state.demands(slots_of(way.tune), shown))
            except HarmonyError:
                return  # what stands further off must change, too
            self.ways = with_first(ways, quick)
            self._found_count += 1
            self._search_count += 1
            self._near = True

    def _back(self, state: ReharmoniseState | None) -> None:
        if state is None:
            return
        self.place = None
        now = self._state
        same = replace(state, decided=now.decided).asked == now.asked
        same = same and state.decided.frame == now.decided.frame
        if same and state.asked != self._state.asked:
            self._revise(state)
        self._set_state(state)

    def _go(self, state: ReharmoniseState) -> None:
        about, self._asked_about = self._asked_about, ""
        if state.asked != self._state.asked:
            self.history.left(self._state, about)
        self._set_state(state)

    def _set_state(self, state: ReharmoniseState) -> None:
        self._near = self._near and state.decided != self._state.decided
        before = self._state
        if _tune_of(state) != _tune_of(before):
            self.place = None
        super()._go(state)

    def _offered(self, found: tuple[Alternative, ...]) -> None:
        with self._lock:
            self.others = found
        self._show()


def _tune_of(state: ReharmoniseState) -> tuple[object, ...]:
    """What tells which bars are shown."""
    return state.text, state.number, state.decided.frame
