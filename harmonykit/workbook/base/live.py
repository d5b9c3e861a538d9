"""What panels and pages have in common: a live view, and a still picture where none is alive.

The browser says what was pressed, set and typed, each as one message; what is done with it is a
table.  What cannot be done is kept from the notebook, which would print it as a traceback, and said
on the page instead.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar

from harmonykit.draw.drawing import Drawing
from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from harmonykit.workbook.base.view import View

V = TypeVar("V", bound="View")


@dataclass(frozen=True, slots=True)
class Said:
    """What the browser said.

    Parameters
    ----------
    content : mapping
        What was said, by names; anything may stand there.
    buffers : tuple of bytes-like
        Files that were handed over.
    """

    content: Mapping[str, Any]
    buffers: tuple[Any, ...] = ()

    def text(self, name: str) -> str:
        """Return what was said by a name as text, or nothing.

        Examples
        --------
        >>> Said({"press": 3}).text("press"), Said({}).text("press")
        ('3', '')
        """
        return str(self.content.get(name, ""))

    @property
    def file(self) -> bytes:
        """The file that was handed over."""
        return bytes(self.buffers[0])


# What comes back after each message, once all that it changed was sent.
ANSWERED = {"answered": True}

# What is done with a message, by the name of what it says.
Answers = Mapping[str, Callable[[Said], None]]


class Live(ABC, Generic[V]):
    """Something with a live view; subclasses say what is shown and what answers."""

    title: ClassVar[str]
    _view: V | None = None

    # What a subclass is made of.

    @abstractmethod
    def _make_view(self) -> V:
        """Return a view that shows nothing yet."""

    @abstractmethod
    def _show(self) -> None:
        """Show all as it stands, where there is a view."""

    @abstractmethod
    def _answers(self) -> Answers:
        """Return what is done with what the browser says."""

    @abstractmethod
    def _answered(self, said: Said, refused: HarmonyError | None) -> None:
        """Show that a message was answered, or why it was refused."""

    @abstractmethod
    def draw(self) -> Drawing:
        """Return a still picture of all as it stands."""

    def _still(self) -> Drawing | None:
        """Return the picture for where no view is alive, if there can be one."""
        return self.draw()

    def _words(self, still: Drawing | None) -> str:
        """Return the text for where there are no pictures."""
        return still.alt if still else ""

    # What everything live can do.

    @property
    def view(self) -> V:
        """The live view, made when it is first asked for."""
        if self._view is None:
            self._view = self._make_view()
            self._view.on_msg(self._heard)
            self._show()
        return self._view

    def _heard(self, _view: object, content: Mapping[str, Any], buffers: Any) -> None:
        """Do what the browser says."""
        said, refused = Said(content, tuple(buffers or ())), None
        try:
            self._do(said)
        except HarmonyError as error:
            refused = error
        finally:
            self._answered(said, refused)
            # The page waits for this, and says so where it does not come.
            self.view.send(ANSWERED)

    def _do(self, said: Said) -> None:
        for name, answer in self._answers().items():
            if name in said.content:
                answer(said)

    def _repr_mimebundle_(self, **_asked: object) -> dict[str, Any]:
        """Return the live view, and beside it text and a still picture for where none is alive."""
        still = self._still()
        picture = still._repr_mimebundle_() if still else {}
        return {**self.view.as_mime(), **picture, "text/plain": self._words(still)}


def check_part(part: str, parts: Iterable[str]) -> None:
    """Refuse to press what is not there.

    Raises
    ------
    HarmonyError
        If there is no such part.
    """
    if part not in set(parts):
        raise HarmonyError(f"unknown part {part!r}")


def check_value(control: str, value: object, options: Mapping[str, Collection[str]]) -> None:
    """Refuse to set what is not there, or to what it cannot be.

    Parameters
    ----------
    control : str
    value : str or bool
    options : mapping of str to collection of str
        What each control that there is can be; empty where it can be anything.

    Raises
    ------
    HarmonyError
        If there is no such control, or its value cannot be.

    Examples
    --------
    >>> check_value("view", "chart", {"view": ("chart", "neck"), "tempo": ()})
    >>> check_value("view", "roof", {"view": ("chart", "neck")})
    Traceback (most recent call last):
    harmonykit.errors.HarmonyError: view cannot be 'roof'
      try: chart, neck
    """
    if control not in options:
        raise HarmonyError(f"unknown control {control!r}", mend=", ".join(options))
    if options[control] and value not in options[control]:
        raise HarmonyError(f"{control} cannot be {value!r}", mend=", ".join(options[control]))
