"""The thin view of the page where a lesson is written: what is sent to the browser, and heard."""

from pathlib import Path
from typing import Any

import traitlets

from harmonykit.draw.base.web import script
from harmonykit.workbook.base.view import PageView, panel_style


class WritingView(PageView):
    """What is sent to the browser.

    Each trait is sent when it changes; text, preview and files go as messages, and are kept by the
    kernel alone.
    """

    _esm = script("writing/page.js")
    _css = panel_style(Path(__file__).with_name("writing.css"))
    controls: Any = traitlets.List().tag(sync=True)
    said: Any = traitlets.Dict().tag(sync=True)
    verdicts: Any = traitlets.List().tag(sync=True)
    sides: Any = traitlets.Dict().tag(sync=True)
    results: Any = traitlets.List().tag(sync=True)

    def put(self, text: str, view: str = "") -> None:
        """Send a text that takes the place of what was typed, to all or to one browser's view."""
        self.send({"put": text, "for": view})
