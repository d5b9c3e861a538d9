"""What a reader has read, in a panel: ticked there, kept in a file, and what is asked of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.practice.day import NOTEBOOKS, reached
from harmonykit.practice.reading import FIRST, keep_read, read_so_far
from harmonykit.practice.theme import Theme
from harmonykit.workbook.base.control import Control

_TICK = "read-"


class Reader:
    """Which notebooks were read, and what is asked because of it.

    Parameters
    ----------
    theme : Theme
        What is asked about besides; a lesson teaches its own kinds, and nothing is ticked.
    folder : str or Path or None
        Where it is kept; None to keep nothing.
    read : sequence of str or None
        What was read before anything is ticked; None to ask everything until something is.

    Examples
    --------
    >>> reader = Reader(Theme(), None, ["00"])
    >>> reader.set("read-02", value=True)
    >>> reader.read, "parents" in reader.theme.kinds
    (('00', '02'), True)
    """

    def __init__(self, theme: Theme, folder: str | Path | None, read: Sequence[str] | None) -> None:
        self._about, self.trouble = theme, ""
        self._folder = None if folder is None or theme.title else Path(folder)
        kept = self._kept()
        if read is not None:
            reached(read)  # what is no notebook is refused
        numbers = read if kept is None else kept
        self.ticked = numbers is not None and not theme.title
        given = {each.partition("_")[0] for each in numbers or ()}
        self.read = tuple(number for number in NOTEBOOKS if number in given)

    def _kept(self) -> tuple[str, ...] | None:
        try:
            return read_so_far(self._folder) if self._folder is not None else None
        except HarmonyError as error:
            self.trouble, self._folder = f"{error.what}; ticks are not kept", None
            return None

    @property
    def theme(self) -> Theme:
        """What is asked about: nothing that was not read, once something is ticked."""
        if not self.ticked:
            return self._about
        return replace(self._about, kinds=reached(self.read or (FIRST,), self._about))

    @property
    def controls(self) -> tuple[Control, ...]:
        """A box to tick for each notebook that teaches something which is asked."""
        if not self.ticked:
            return ()
        return tuple(
            Control(f"{_TICK}{each}", "check", f"I have read {each}", each in self.read)
            for each in NOTEBOOKS
        )

    @staticmethod
    def has(control: str) -> bool:
        """Whether a control is one of the boxes."""
        return control.startswith(_TICK)

    def set(self, control: str, *, value: bool) -> None:
        """Tick a notebook, or untick it; it is kept."""
        number = control.removeprefix(_TICK)
        now = {*self.read, number} if value else {*self.read} - {number}
        self.read = tuple(each for each in NOTEBOOKS if each in now)
        if self._folder is not None:
            try:
                keep_read(self._folder, self.read)
            except HarmonyError as error:
                self.trouble, self._folder = f"{error.what}; ticks are not kept", None
