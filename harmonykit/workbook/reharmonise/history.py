"""What was set before, so that it can be undone and done again."""

from dataclasses import replace

from harmonykit.workbook.reharmonise.state import ReharmoniseState

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
