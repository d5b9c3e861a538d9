"""The essays as pages to read without a server: text, figures, sound, and panels that answer.

A page is made of the notebook as it is stored; only what is alive there is made anew, so that its
states can stand in the page.  Code is folded.
"""

from __future__ import annotations

import ast
import contextlib
import io
import json
import re
from collections.abc import Iterator
from functools import cache
from html import escape
from typing import Any
from xml.etree.ElementTree import Element, tostring

from harmonykit.draw.base import colours, web
from harmonykit.errors import HarmonyError
from harmonykit.home.practice import TITLE, music, write_practice
from harmonykit.home.states import replay_of, replays_of
from harmonykit.lesson.page import shell
from harmonykit.paths import notebooks_dir
from harmonykit.practice.theme import Theme
from harmonykit.workbook.base.live import Live
from harmonykit.workbook.base.panel import Panel
from harmonykit.workbook.essay.panel import CodeSwitch
from harmonykit.workbook.practice.read_box import ReadBox

PAGES = (
    "00_start_here",
    "01_diminished_symmetry",
    "02_four_parents",
    "03_sixth_diminished_scale",
    "04_voice_leading_distances",
    "07_set_class_catalogue",
    "08_which_key",
)
"""The notebooks that make sense without a kernel."""
_SVG = "http://www.w3.org/2000/svg"
_COLOUR = {value: f"var(--{name})" for name, value in colours.PALETTES["colour"].tokens.items()}
# What a notebook's text says of notebooks alone: comments stand round it, which no reader sees.
_NOT_HERE = re.compile(r"<!-- notebook -->.*?<!-- page -->", re.DOTALL)
_NAMED = re.compile(r"\[`(\w+)`\]\(\1\.ipynb\)|`(\d\d_\w+)`")
_FOLDED = "How this is computed is folded below each result."
_ONWARD = "What is grey leads further than this page."
_HERE = "A still picture: this is how the panel begins."


def write_essay(name: str) -> str:
    """Return an essay as one page that needs no server.

    Parameters
    ----------
    name : str
        Of the notebook, such as ``"02_four_parents"``.

    Raises
    ------
    HarmonyError
        If there is no such essay.
    """
    if name not in PAGES:
        raise HarmonyError(f"unknown essay {name!r}", mend=", ".join(PAGES))
    notebook = _notebook(name)
    page = _Page(notebook["cells"])
    parts = [part for cell in notebook["cells"] for part in page.cell(cell)]
    title = _title(name)
    style = shell.base_css() + page.style + _dark() + shell.shared_text("essay.css")
    scripts = [_view_script(view, esm) for view, esm in page.views.items()]
    text = f'"use strict";\n{web.script("essays/page.js")}'
    return shell.template("essay.html.jinja").render(
        title=title,
        policy=shell.policy_of_views([text, *scripts]),
        style=style,
        parts=parts,
        music=shell.for_script(music(Theme())),
        panels=shell.for_script(page.panels),
        scripts=scripts,
        script=text,
    )


def _view_script(view: str, esm: str) -> str:
    """Return a view's own module, which hands itself to the page by its name."""
    return esm.replace("export default {", f'globalThis.views["{view}"] = {{')


class _Page:
    """The parts of a page, cell by cell: what is alive is made anew, the rest is as stored."""

    def __init__(self, cells: list[dict[str, Any]]) -> None:
        self.panels: list[dict[str, Any]] = []
        self.views: dict[str, str] = {}
        self.style = ""
        self._names: dict[str, Any] = {"__name__": "__main__"}
        self._figures = 0
        self._together: dict[int, dict[str, Any]] = {}
        code = "".join("".join(each["source"]) for each in cells if each["cell_type"] == "code")
        self._alive = "Panel(" in code

    def cell(self, cell: dict[str, Any]) -> Iterator[str]:
        """Yield a cell as HTML."""
        source = "".join(cell["source"])
        if cell["cell_type"] == "markdown":
            yield f'<div class="text">{_markdown(source)}</div>'
            return
        if f"{ReadBox.__name__}(" in source:
            # It is ticked for the exercises of the notebook.
            return
        value = _run(source, self._names) if self._alive else None
        panel = self._panel(value)
        if panel:
            yield panel
        elif source.endswith(f"{CodeSwitch.__name__}()"):
            # Its words are about a menu of the notebook.
            yield f'<p class="note">{_FOLDED}</p>'
        else:
            outputs = cell["outputs"]
            yield from (html for each in outputs if (html := self._output(each)))
            if isinstance(value, Live):
                yield f'<p class="note">{_HERE}</p>'
        told = "".join(_printed(each) for each in cell["outputs"]) if panel else ""
        yield (
            "<details><summary>How this is computed</summary>"
            f'<pre class="code">{escape(source)}</pre>{told}</details>'
        )

    def _panel(self, value: object) -> str:
        """Return the place of a panel that the page lets answer."""
        data = self._replay(value)
        if data is None:
            return ""
        if isinstance(value, Live):
            view = value.view
            name = type(view).__name__
            if name not in self.views:
                self.views[name] = str(view._esm)
                self.style += str(view._css).replace(web.font_faces(), "")
        else:
            data["pictures"] = [self._figure(each) for each in data["pictures"]]
        self.panels.append(data)
        note = f'<p class="note">{_ONWARD}</p>' if isinstance(value, Panel) else ""
        return f'<div class="panel" data-panel="{len(self.panels) - 1}"></div>{note}'

    def _replay(self, value: object) -> dict[str, Any] | None:
        """Return what lets a panel answer; panels that are linked are made ready at once."""
        if not (isinstance(value, Panel) and value.linked):
            return replay_of(value)
        if id(value) not in self._together:
            group, panels = f"group-{len(self._together)}", [value, *value.linked]
            for panel, data in zip(panels, replays_of(panels), strict=True):
                self._together[id(panel)] = data | {"group": group}
        return self._together[id(value)]

    def _output(self, output: dict[str, Any]) -> str:
        data = output.get("data", {})
        if "image/svg+xml" in data:
            return (
                f'<div class="figure scroll">{self._figure("".join(data["image/svg+xml"]))}</div>'
            )
        if "text/html" in data:
            return f'<div class="scroll table">{"".join(data["text/html"])}</div>'
        return _printed(output)

    def _figure(self, svg: str) -> str:
        """Return a figure for this page: ids of its own, colours for light and dark, no fonts."""
        self._figures += 1
        return _adapted(svg, f"f{self._figures}-")


def _adapted(svg: str, own: str) -> str:
    """Return a figure with its ids behind a prefix, the page's colours, and no style of its own."""
    from defusedxml.ElementTree import fromstring

    root: Element = fromstring(svg)
    root.attrib.pop("style", None)
    for part in root.iter():
        for style in part.findall(f"{{{_SVG}}}style"):
            part.remove(style)
        part.tag = part.tag.removeprefix(f"{{{_SVG}}}")
        for name, value in part.items():
            part.set(name, own + value if name == "id" else _COLOUR.get(value, value))
    root.set("xmlns", _SVG)
    return tostring(root, encoding="unicode")


def _printed(output: dict[str, Any]) -> str:
    text = output.get("text") or output.get("data", {}).get("text/plain") or ""
    return f"<pre>{escape(''.join(text).rstrip())}</pre>" if text else ""


def _markdown(source: str) -> str:
    from markdown_it import MarkdownIt

    text = _NAMED.sub(_as_link, _NOT_HERE.sub("", source))
    return str(MarkdownIt("js-default").render(text))


def _as_link(found: re.Match[str]) -> str:
    """Return a link to the page of a notebook that a text names.

    Raises
    ------
    HarmonyError
        If it is not a page.
    """
    name = found[1] or found[2]
    if name == "09_exercises":
        return f"[{TITLE}](practice.html)"
    if name in PAGES:
        return f"[{_title(name)}]({name}.html)"
    raise HarmonyError(
        f"{name} is not a page", mend="<!-- notebook --> before and <!-- page --> after"
    )


@cache
def _notebook(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(
        (notebooks_dir() / f"{name}.ipynb").read_text(encoding="utf-8")
    )
    return found


def _title(name: str) -> str:
    return str(_notebook(name)["metadata"]["title"])


def _run(source: str, names: dict[str, Any]) -> object:
    """Run a cell, and return what its last line is."""
    tree = ast.parse(source)
    end = tree.body[-1] if tree.body else None
    last = end if isinstance(end, ast.Expr) else None
    tree.body = tree.body[: len(tree.body) - bool(last)]
    with contextlib.redirect_stdout(io.StringIO()):
        exec(compile(tree, "<cell>", "exec"), names)  # noqa: S102 - our own notebooks
        if last is None:
            return None
        value: object = eval(compile(ast.Expression(last.value), "<cell>", "eval"), names)  # noqa: S307
    return value


def index_rows(names: tuple[str, ...] = PAGES) -> list[tuple[str, str]]:
    """Return the pages with their titles, for an index."""
    return [(f"{name}.html", _title(name)) for name in names]


def write_pages() -> Iterator[tuple[str, str]]:
    """Yield each page's file name with its text: the essays, the questions, and the index."""
    for name in PAGES:
        yield f"{name}.html", write_essay(name)
    yield "practice.html", write_practice(Theme())
    rows = [*index_rows(), ("practice.html", f"Practice: {TITLE[0].lower()}{TITLE[1:]}")]
    yield "index.html", _index(rows)


def _index(rows: list[tuple[str, str]]) -> str:
    from harmonykit.lesson.page.html import index_page

    return index_page(
        "The workbook to take home",
        "Essays and questions that need no server",
        "Each page is one file: open it, send it, or put it on any web space.",
        [("Read and ask", [("", [(words, [(address, "")]) for address, words in rows])])],
        [],
    )


def _dark() -> str:
    """Return the colours of panels on a page, which follow the reader's system."""
    dark = colours.css_variables("dark")
    return f"@media (prefers-color-scheme:dark){{.harmonykit-panel{{{dark}}}}}\n"
