"""The texts of the program that a person reads: from Python, from templates, from scripts.

Of Python the string literals that are not docstrings, with ``{}`` where a value is put in, and the
docstrings of commands, which are their help.  Of a template its text and the attributes that are
read out, and the literals in its tags.  Of a script its literals and the text in its markup.
"""

from __future__ import annotations

import ast
import html
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

# What stands in a module beside texts: names to import, types, patterns.
_SILENT_CALLS = {"compile", "findall", "finditer", "fullmatch", "match", "search", "split", "sub"}
_SILENT_NAMES = {"__all__", "__slots__"}
_READ_OUT = ("alt", "aria-label", "aria-description", "placeholder", "title", "label")
_LETTERS = re.compile(r"[^\W\d_]{2}")


@dataclass(frozen=True, slots=True)
class Said:
    """A text, and where it stands."""

    file: str
    line: int
    text: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.text!r}"


def texts_of(top: Path) -> Iterator[Said]:
    """Give every text of the package, the templates, the scripts and the notebooks."""
    for path in sorted((top / "harmonykit").rglob("*.py")):
        yield from of_python(path.read_text("utf-8"), path.relative_to(top).as_posix())
    for path in sorted(top.rglob("*.jinja")):
        if ".venv" not in path.parts:
            yield from of_template(path.read_text("utf-8"), path.relative_to(top).as_posix())
    for path in sorted((top / "shared" / "scripts").rglob("*.js")):
        yield from of_script(path.read_text("utf-8"), path.relative_to(top).as_posix())
    for path in sorted((top / "notebooks").glob("*.ipynb")):
        yield from of_notebook(path.read_text("utf-8"), path.relative_to(top).as_posix())


def of_notebook(source: str, file: str) -> Iterator[Said]:
    """Give the paragraphs of a notebook, without what is to be typed; its line is the cell's."""
    for number, cell in enumerate(json.loads(source)["cells"]):
        if cell["cell_type"] == "markdown":
            plain = re.sub(r"```.*?```|<!--.*?-->", "", "".join(cell["source"]), flags=re.DOTALL)
            plain = re.sub(r"`[^`]*`", "{}", plain).replace("**", "")
            yield from (Said(file, number, part) for part in plain.split("\n\n") if part.strip())


def of_python(source: str, file: str) -> Iterator[Said]:
    """Give the texts of a module."""
    tree = ast.parse(source)
    silent = {id(node) for part in _silent(tree) for node in ast.walk(part)}
    for node in ast.walk(tree):
        if id(node) in silent:
            continue
        text = _text(node)
        if text is not None and _LETTERS.search(text):
            yield Said(file, node.lineno, text)  # type: ignore[attr-defined]
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and any(
            "command" in ast.unparse(d) or "group" in ast.unparse(d) for d in node.decorator_list
        ):
            yield Said(file, node.lineno, ast.get_docstring(node) or "")


def _text(node: ast.AST) -> str | None:
    if isinstance(node, ast.JoinedStr):
        return "".join(
            str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values
        )
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    return None


def _silent(tree: ast.Module) -> Iterator[ast.AST]:
    """Give the parts of a module whose literals nobody reads."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            yield from _bare(node)
        if isinstance(node, ast.JoinedStr):
            yield from (part for part in node.values if isinstance(part, ast.Constant))
        if isinstance(node, ast.Assign) and any(
            ast.unparse(t) in _SILENT_NAMES for t in node.targets
        ):
            yield node.value
        if isinstance(node, ast.AnnAssign):
            yield node.annotation
        if isinstance(node, ast.arg) and node.annotation is not None:
            yield node.annotation
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            if node.func.attr in _SILENT_CALLS and ast.unparse(node.func.value) == "re":
                yield from node.args


def _bare(
    node: ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef,
) -> Iterator[ast.AST]:
    """Give the statements that are a literal alone: docstrings, and notes under a constant."""
    for part in node.body:
        if isinstance(part, ast.Expr) and isinstance(part.value, ast.Constant):
            yield part


def of_template(source: str, file: str) -> Iterator[Said]:
    """Give the texts of a template: its words, what is read out, and literals in its tags."""
    blank = re.compile(r"\{#.*?#\}|<style.*?</style>|<script.*?</script>", re.DOTALL)
    source = blank.sub(lambda found: re.sub(r"[^\n]", " ", found[0]), source)
    for tag in re.finditer(r"\{[{%].*?[%}]\}", source, re.DOTALL):
        for found in re.finditer(r'"([^"\n]*)"', tag[0]):
            yield from _found(source, file, tag.start() + found.start(), found[1])
    plain = re.sub(r"\{[{%].*?[%}]\}", lambda tag: "{}" if tag[0][1] == "{" else "", source)
    yield from _of_markup(plain, file, source)


def _of_markup(markup: str, file: str, source: str = "") -> Iterator[Said]:
    for tag in re.finditer(r"<[a-zA-Z][^<>]*>", markup):
        for name, text in re.findall(r'([\w-]+)="([^"]*)"', tag[0]):
            if name in _READ_OUT:
                yield from _found(source or markup, file, 0, text)
    for text in re.split(r"<[^<>]*>", markup):
        yield from _found(source or markup, file, 0, " ".join(text.split()))


def of_script(source: str, file: str) -> Iterator[Said]:
    """Give the texts of a script: its literals, and the words in those that are markup."""
    for found in re.finditer(_JAVASCRIPT, source):
        text = found["text"]
        if text is None:
            continue
        text = re.sub(r"\$\{[^{}]*\}", "{}", text[1:-1])
        if "<" in text:
            yield from _of_markup(text, file, "")
        else:
            yield from _found(source, file, found.start(), text)


_JAVASCRIPT = re.compile(
    r"//[^\n]*|/\*.*?\*/"
    r"|(?P<text>\"(?:[^\"\\\n]|\\.)*\"|'(?:[^'\\\n]|\\.)*'|`(?:[^`\\]|\\.)*`)",
    re.DOTALL,
)


def _found(source: str, file: str, at: int, text: str) -> Iterator[Said]:
    if _LETTERS.search(text):
        place = source.find(text) if not at else at
        yield Said(file, source.count("\n", 0, max(place, 0)) + 1, html.unescape(text))
