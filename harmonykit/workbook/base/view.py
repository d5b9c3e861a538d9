"""The thin view of a panel: an anywidget that shows a scene and tells what was pressed."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from harmonykit.draw.base.faces import font_faces
from harmonykit.draw.base.script import script
from harmonykit.draw.base.style import css_variables
from harmonykit.draw.drawing import Drawing
from harmonykit.workbook.base.scene import MARK_ID, Scene, Shown, letters
from harmonykit.workbook.base.sounds import Sound

_HERE = Path(__file__).parent


@cache
def _text(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


def _css() -> str:
    light, dark = css_variables("colour"), css_variables("dark")
    return (
        f"{font_faces()}.harmonykit-panel{{{light}}}\n"
        f"body[data-jp-theme-light='false'] .harmonykit-panel{{{dark}}}\n" + _text("panel.css")
    )


class PanelView(anywidget.AnyWidget):
    """What is sent to the browser.

    ``scene`` is sent when the picture changes, ``shown`` whenever the state does: looks by id.
    """

    _esm = script("panel/panel.js")
    _css = _css()
    title = traitlets.Unicode("").tag(sync=True)
    scene = traitlets.Unicode("").tag(sync=True)
    mark_id = traitlets.Unicode(MARK_ID).tag(sync=True)
    letters = traitlets.Dict(letters()).tag(sync=True)
    shown = traitlets.Dict().tag(sync=True)
    controls: Any = traitlets.List().tag(sync=True)

    def show(
        self, scene: Scene, shown: Shown, controls: list[dict[str, Any]], trouble: str
    ) -> None:
        """Send what has changed, in one message."""
        with self.hold_sync():
            if scene is not self._drawn:
                self._drawn = scene
                self.scene = coloured(scene.live())
            self.shown = {
                "looks": {part: list(look) for part, look in shown.looks.items()},
                "lines": dict(shown.lines),
                "facts": shown.facts,
                "lead": shown.lead,
                "trouble": trouble,
            }
            self.controls = controls

    _drawn: Scene | None = None

    def play(self, sound: Sound) -> None:
        """Send a sound; it is kept nowhere."""
        self.send({"sound": sound.seconds}, buffers=[sound.wav])

    def as_mime(self) -> dict[str, Any]:
        """Return the entry of a mimebundle that stands for the live view."""
        bundle: Any = self._repr_mimebundle_()
        return dict(bundle[0] if isinstance(bundle, tuple) else bundle)


def coloured(svg: str) -> str:
    """Return a picture with its colours as variables, so that it serves light and dark."""
    return Drawing.of(svg, "", 1, 1).for_page()
