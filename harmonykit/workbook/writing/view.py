"""The thin view of the page where a lesson is written: what is sent to the browser, and heard."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from harmonykit.draw.base.script import script
from harmonykit.workbook.base.view import PanelView

_HERE = Path(__file__).parent


@cache
def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


class WritingView(anywidget.AnyWidget):
    """What is sent to the browser.

    Each trait is sent when it changes; text, preview and files go as messages, and are kept by the
    kernel alone.
    """

    _esm = script("writing/page.js")
    _css = str(PanelView._css) + _text("writing.css")
    title = traitlets.Unicode("").tag(sync=True)
    # The name under which the browser keeps what the kernel has not heard yet.
    kept = traitlets.Unicode("").tag(sync=True)
    controls: Any = traitlets.List().tag(sync=True)
    said: Any = traitlets.Dict().tag(sync=True)
    verdicts: Any = traitlets.List().tag(sync=True)
    sides: Any = traitlets.Dict().tag(sync=True)
    results: Any = traitlets.List().tag(sync=True)

    def show(self, **values: Any) -> None:
        """Send what has changed, in one message."""
        with self.hold_sync():
            for name, value in values.items():
                setattr(self, name, value)

    def put(self, text: str, view: str = "") -> None:
        """Send a text that takes the place of what was typed, to all or to one browser's view."""
        self.send({"put": text, "for": view})

    def as_mime(self) -> dict[str, Any]:
        """Return the entry of a mimebundle that stands for the live view."""
        bundle: Any = self._repr_mimebundle_()
        return dict(bundle[0] if isinstance(bundle, tuple) else bundle)
