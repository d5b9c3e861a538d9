"""The thin view of the page of reharmonisation: regions of HTML, and what was pressed in them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

from harmonykit.draw.base.faces import font_faces
from harmonykit.draw.base.script import script
from harmonykit.draw.base.style import css_variables
from harmonykit.workbook.reharmonise.sound import Heard

_HERE = Path(__file__).parent


def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


def _css() -> str:
    light, dark = css_variables("colour"), css_variables("dark")
    return (
        f"{font_faces()}.hk-reharmonise{{{light}}}\n"
        f"body[data-jp-theme-light='false'] .hk-reharmonise{{{dark}}}\n" + _text("reharmonise.css")
    )


class ReharmoniseView(anywidget.AnyWidget):
    """What is sent to the browser: a region is sent when its HTML is another than before."""

    _esm = script("reharmonise/page.js")
    _css = _css()
    title = traitlets.Unicode("").tag(sync=True)
    # The name under which the browser keeps what the kernel has not heard yet.
    kept = traitlets.Unicode("").tag(sync=True)
    # The number of the last message after which all was drawn.
    shown = traitlets.Int(0).tag(sync=True)
    text = traitlets.Unicode("").tag(sync=True)
    view = traitlets.Unicode("chart").tag(sync=True)
    exports: Any = traitlets.List().tag(sync=True)
    status: Any = traitlets.Dict().tag(sync=True)
    sounds: Any = traitlets.Dict().tag(sync=True)
    source = traitlets.Unicode("").tag(sync=True)
    settings = traitlets.Unicode("").tag(sync=True)
    plot = traitlets.Unicode("").tag(sync=True)
    choices = traitlets.Unicode("").tag(sync=True)
    table = traitlets.Unicode("").tag(sync=True)
    chart = traitlets.Unicode("").tag(sync=True)
    neck = traitlets.Unicode("").tag(sync=True)
    staff = traitlets.Unicode("").tag(sync=True)
    reasons = traitlets.Unicode("").tag(sync=True)

    def show(self, **values: Any) -> None:
        """Send what has changed, in one message."""
        with self.hold_sync():
            for name, value in values.items():
                setattr(self, name, value)

    def play(self, which: str, key: str, heard: Heard) -> None:
        """Send a sound with its times; it is kept nowhere here."""
        what = {"sound": which, "key": key, "times": heard.times}
        self.send(what, buffers=[heard.wav])

    def as_mime(self) -> dict[str, Any]:
        """Return the entry of a mimebundle that stands for the live view."""
        bundle: Any = self._repr_mimebundle_()
        return dict(bundle[0] if isinstance(bundle, tuple) else bundle)
