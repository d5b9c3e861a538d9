"""The last line of an essay: a box to tick once it is read, so that exercises ask about it.

It is kept where the exercises look for it, in ``my-reading.json`` beside the notebooks
(``practice.day``).

Notebook: 02_four_parents
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from harmonykit.errors import HarmonyError
from harmonykit.practice import day, theme
from harmonykit.practice.kinds import KINDS
from harmonykit.workbook.base.live import ANSWERED
from harmonykit.workbook.base.view import ReadView
from harmonykit.workbook.practice.resuming import Reader

_LABEL = "I have read this essay"
_NEXT = "From its next run 09_exercises asks"
_WORDS = "Read to the end? Tick it here in the live notebook, and 09_exercises asks about it."


class ReadBox:
    """A box to tick at the end of an essay: from then on exercises ask what it taught.

    Parameters
    ----------
    name : str
        The essay, by its number or its file: ``"02"`` or ``"02_four_parents"``.
    folder : str or Path or None
        Where ``my-reading.json`` is; the notebook's own folder unless given, none to keep nothing.

    Raises
    ------
    HarmonyError
        If it is not an essay that teaches what is asked about.

    Examples
    --------
    >>> box = hk.workbook.ReadBox("04", folder=None)
    >>> box.tick(True)
    >>> box.view.said
    'Ticked. From its next run 09_exercises asks: give the distance; choose the smoother path.'
    """

    def __init__(self, name: str, folder: str | Path | None = ".") -> None:
        self._number = name.partition("_")[0]
        if self._number not in day.TITLES:
            raise HarmonyError(f"{name!r} is not an essay to tick", mend=", ".join(day.NOTEBOOKS))
        self._folder = folder
        self._view: ReadView | None = None

    @property
    def view(self) -> ReadView:
        """The live view, made when it is first asked for."""
        if self._view is None:
            reader = Reader(theme.EVERYTHING, self._folder, None)
            ticked = self._number in reader.read
            self._view = ReadView(title=_LABEL, ticked=ticked, said=reader.trouble)
            self._view.on_msg(self._heard)
        return self._view

    def tick(self, value: bool) -> None:  # noqa: FBT001 - a box is ticked or not
        """Tick the essay as read, or untick it; it is kept, and the page says what that does.

        Parameters
        ----------
        value : bool
        """
        reader = Reader(theme.EVERYTHING, self._folder, None)
        reader.set(f"read-{self._number}", value=value)
        if reader.trouble:
            self.view.show(ticked=not value, said=f"{reader.trouble}.")
        else:
            self.view.show(ticked=value, said=self._done(reader.read))

    def _done(self, read: tuple[str, ...]) -> str:
        """Return what follows from what is ticked now."""
        if not read:
            return f"Not ticked. {_NEXT} what 00_start_here teaches, since no essay is ticked."
        taught = "; ".join(each.title for each in KINDS.values() if each.taught == self._number)
        if self._number in read:
            return f"Ticked. {_NEXT}: {taught}."
        return f"Not ticked. {_NEXT} no more: {taught}."

    def _heard(self, _view: object, content: Mapping[str, Any], _buffers: object) -> None:
        if "tick" in content:
            self.tick(bool(content["tick"]))
        self.view.send(ANSWERED)

    def __repr__(self) -> str:
        return f"ReadBox({self._number!r})"

    def _repr_mimebundle_(self, **_asked: object) -> dict[str, Any]:
        """Return the box, and what is read where nothing is alive."""
        return {**self.view.as_mime(), "text/html": f"<p>{_WORDS}</p>", "text/plain": _WORDS}
