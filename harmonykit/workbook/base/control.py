"""What a panel is set by: buttons, lists, lines; and all that it shows in a state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from harmonykit.sound.chords import Pitches
from harmonykit.workbook.base.scene import Scene, Shown

Value = str | bool


@dataclass(frozen=True, slots=True)
class Control:
    """A button, a box to tick, a list to choose from, or a line to type in.

    Parameters
    ----------
    id : str
    kind : {"button", "check", "choice", "text", "copy"}
        One to copy is a button that puts its value on the clipboard.
    label : str
    value : str or bool
    options : tuple of str
        Of a choice.
    enter : str
        The button that the Enter key presses in a line to type in, once what was typed is set.
    """

    id: str
    kind: str
    label: str
    value: Value = ""
    options: tuple[str, ...] = ()
    enter: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Return it as the browser reads it."""
        return {
            "id": self.id,
            "kind": self.kind,
            "label": self.label,
            "value": self.value,
            "options": list(self.options),
            "enter": self.enter,
        }


HEAR = Control("hear", "button", "Hear it")
SHARE = "share"


@dataclass(frozen=True, slots=True)
class Standing:
    """All that a panel shows and sounds in a state."""

    scene: Scene
    shown: Shown
    controls: tuple[Control, ...]
    chords: tuple[Pitches, ...]
