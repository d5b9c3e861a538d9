"""The thin views: what is sent to the browser; what it does there is a script of its own."""

from functools import cache
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from harmonykit.draw.base.colours import css_variables
from harmonykit.draw.base.web import font_faces, script
from harmonykit.draw.svg import path_data
from harmonykit.workbook.base.scene import MARK_ID, Scene, Shown, letters

# What a cell prints is broken between words, also where JupyterLab breaks at any letter.
_PRINTED = "body .jp-OutputArea-output pre{word-break:normal;overflow-wrap:anywhere}\n"
_PANEL_CSS = Path(__file__).with_name("panel.css")


class View(anywidget.AnyWidget):
    """What is sent to the browser: a trait when it changes, messages at once."""

    title = traitlets.Unicode("").tag(sync=True)

    def show(self, **values: Any) -> None:
        """Send what has changed, in one message."""
        with self.hold_sync():
            for name, value in values.items():
                setattr(self, name, value)

    def hand(self, data: bytes, **about: Any) -> None:
        """Send a file, with what is to be known of it; it is kept nowhere here."""
        self.send(about, buffers=[data])

    def as_mime(self) -> dict[str, Any]:
        """Return the entry of a mimebundle that stands for the live view."""
        bundle: Any = self._repr_mimebundle_()
        return dict(bundle[0] if isinstance(bundle, tuple) else bundle)


class PageView(View):
    """The view of a page on which one types."""

    # The name under which the browser keeps what the kernel has not heard yet.
    kept = traitlets.Unicode("").tag(sync=True)


@cache
def style(root: str, *files: Path) -> str:
    """Return a style sheet with fonts and colours, light and dark, for what has a class.

    Parameters
    ----------
    root : str
        The class of the outermost element.
    files : Path
        The rules.
    """
    light, dark = css_variables("colour"), css_variables("dark")
    rules = "".join(each.read_text(encoding="utf-8") for each in files)
    return (
        f"{font_faces()}.{root}{{{light}}}\n"
        f"body[data-jp-theme-light='false'] .{root}{{{dark}}}\n{_PRINTED}{rules}"
    )


def panel_style(*files: Path) -> str:
    """Return the style sheet of panels, with rules of one's own after it."""
    return style("harmonykit-panel", _PANEL_CSS, *files)


class PanelView(View):
    """The view of a panel.

    ``scene`` is sent when the picture changes, ``shown`` whenever the state does: looks by id.
    """

    _esm = script("panel/panel.js")
    _css = panel_style()
    scene = traitlets.Unicode("").tag(sync=True)
    mark_id = traitlets.Unicode(MARK_ID).tag(sync=True)
    letters = traitlets.Dict(letters()).tag(sync=True)
    shown = traitlets.Dict().tag(sync=True)
    controls: Any = traitlets.List().tag(sync=True)
    _drawn: Scene | None = None

    def show_scene(
        self, scene: Scene, shown: Shown, controls: list[dict[str, Any]], trouble: str
    ) -> None:
        """Send what has changed of a scene, what is shown of it, and the controls."""
        drawn = {} if scene is self._drawn else {"scene": scene.live()}
        self._drawn = scene
        looks = {part: list(look) for part, look in shown.looks.items()}
        lines = {line: path_data(course) for line, course in shown.lines.items()}
        now = {"looks": looks, "lines": lines, "facts": shown.facts}
        now |= {"lead": shown.lead, "trouble": trouble}
        self.show(**drawn, shown=now, controls=controls)


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


class IdeasView(View):
    """What is sent to the browser: the controls, what is said, and two regions as HTML."""

    _esm = script("ideas/page.js")
    _css = panel_style(Path(__file__).with_name("ideas.css"))
    controls: Any = traitlets.List().tag(sync=True)
    said: Any = traitlets.Dict().tag(sync=True)
    found = traitlets.Unicode("").tag(sync=True)
    shown = traitlets.Unicode("").tag(sync=True)


class EssayView(View):
    """What is sent to the browser: every state of an essay, once."""

    _esm = script("essay/essay.js")
    _css = panel_style(Path(__file__).with_name("essay.css"))
    essay: Any = traitlets.Dict().tag(sync=True)


class StartView(View):
    """What is sent to the browser: every state of the first screen, once."""

    _esm = script("essay/start.js")
    _css = panel_style(Path(__file__).with_name("essay.css"))
    start: Any = traitlets.Dict().tag(sync=True)


class CodeView(View):
    """A button for the code of the notebook that it stands in."""

    _esm = script("essay/code.js")
    _css = panel_style(Path(__file__).with_name("essay.css"))


class ReadView(View):
    """A box that ticks an essay as read, and what that does."""

    _esm = script("practice/read_box.js")
    _css = panel_style(Path(__file__).with_name("essay.css"))
    ticked = traitlets.Bool(default_value=False).tag(sync=True)
    said = traitlets.Unicode("").tag(sync=True)


class ReharmoniseView(PageView):
    """What is sent to the browser: a region is sent when its HTML is another than before."""

    _esm = script("reharmonise/page.js")
    _css = style("hk-reharmonise", Path(__file__).with_name("reharmonise.css"))
    # The number of the last message after which all was drawn.
    shown = traitlets.Int(0).tag(sync=True)
    text = traitlets.Unicode("").tag(sync=True)
    view = traitlets.Unicode("chart").tag(sync=True)
    exports: Any = traitlets.List().tag(sync=True)
    status: Any = traitlets.Dict().tag(sync=True)
    sounds: Any = traitlets.Dict().tag(sync=True)
    source = traitlets.Unicode("").tag(sync=True)
    settings = traitlets.Unicode("").tag(sync=True)
    direct = traitlets.Unicode("").tag(sync=True)
    plot = traitlets.Unicode("").tag(sync=True)
    choices = traitlets.Unicode("").tag(sync=True)
    table = traitlets.Unicode("").tag(sync=True)
    chart = traitlets.Unicode("").tag(sync=True)
    menu = traitlets.Unicode("").tag(sync=True)
    neck = traitlets.Unicode("").tag(sync=True)
    staff = traitlets.Unicode("").tag(sync=True)
    figure = traitlets.Unicode("").tag(sync=True)
    reasons = traitlets.Unicode("").tag(sync=True)
