"""The reference: ``python3 shared/start.py reference [FOLDER]`` writes it from the docstrings.

One folder of HTML that needs no server: a page for ``hk`` and one for each floor, with every public
name as it is typed, and nothing else.  pdoc makes the pages; what is ours is the list of names.
"""

from __future__ import annotations

import argparse
import inspect
import re
import sys
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path
from types import ModuleType
from typing import Any

import pdoc.doc
import pdoc.render
from jinja2 import pass_context
from jinja2.runtime import Context
from markupsafe import Markup

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

import harmonykit  # noqa: E402
from harmonykit.errors import HarmonyError  # noqa: E402
from harmonykit.files.folder import replaced_whole  # noqa: E402
from harmonykit.files.manifest import write_manifest  # noqa: E402
from harmonykit.public import homes  # noqa: E402

KIND = "reference"
TOP = "hk"
_STEP = r'(?:</span><span class="o">)?\.(?:</span><span class="n">)?\w+'
_DEEP = re.compile(rf"\bharmonykit(?:{_STEP})+")
# A parameter of which no more is said than its type.
_NO_MORE = re.compile(r"\):(</p>|\s*</li>)")
_TAG = re.compile(r"<[^>]+>")


def packages() -> dict[str, ModuleType]:
    """Return what offers names, as it is typed: ``hk``, ``hk.draw`` and so on."""
    found = {TOP: harmonykit}
    for name in harmonykit.__all__:
        value = getattr(harmonykit, name)
        if isinstance(value, ModuleType):
            found[f"{TOP}.{name}"] = value
    return found


def names_in(package: ModuleType) -> dict[str, object]:
    """Return the public names of a package, those of floors left out."""
    values = {name: getattr(package, name) for name in sorted(package.__all__, key=str.lower)}
    return {name: value for name, value in values.items() if not isinstance(value, ModuleType)}


class Page(pdoc.doc.Module):
    """A page: a module that has the public names of a package, and nothing else."""

    def __init__(self, typed: str, package: ModuleType) -> None:
        shown = ModuleType(typed, inspect.getdoc(package))
        values = names_in(package)
        vars(shown).update(values, __all__=list(values))
        super().__init__(shown)
        self.package = package

    @cached_property
    def submodules(self) -> list[pdoc.doc.Module]:
        """The floors, on the page of all."""
        return [] if self.fullname != TOP else [p for n, p in pages().items() if n != TOP]

    @cached_property
    def _var_docstrings(self) -> dict[str, str]:
        """What is said of a constant below it, where it is defined."""
        return {
            name: pdoc.doc.Module.from_name(module)._var_docstrings.get(inner, "")
            for name, (module, inner) in homes(self.package.__name__).items()
            if inner.isupper()
        }

    @property
    def names(self) -> Iterator[tuple[str, str]]:
        """Each name with the first paragraph of what is said of it."""
        for name, member in self.members.items():
            yield name, " ".join(member.docstring.partition("\n\n")[0].split())


_pages: dict[str, Page] = {}


def pages() -> Mapping[str, Page]:
    """Return the pages by the names that are typed."""
    if not _pages:
        _pages.update({typed: Page(typed, package) for typed, package in packages().items()})
    return _pages


def typed_names() -> dict[str, str]:
    """Return how each public value is typed, by the place where it is defined."""
    return {
        f"{value.__module__}.{value.__qualname__}": f"{typed}.{name}"
        for typed, package in reversed(packages().items())
        for name, value in names_in(package).items()
        if inspect.isclass(value) or inspect.isfunction(value)
    }


def as_typed(html: str, known: Mapping[str, str]) -> str:
    """Return a signature or a text with public names as they are typed, others without modules."""

    def replace(match: re.Match[str]) -> str:
        name = _TAG.sub("", match[0])
        return known.get(name, name.rpartition(".")[2])

    return _NO_MORE.sub(r")\1", _DEEP.sub(replace, html))


def write(out: Path) -> Path:
    """Write the reference into a folder, whole or not at all.

    Raises
    ------
    HarmonyError
        If the folder holds anything but an older reference.
    """
    known = typed_names()
    linkify = pdoc.render.env.filters["linkify"]

    @pass_context
    def linkified(context: Context, code: str, *asked: Any, **more: Any) -> Markup:
        return Markup(linkify(context, as_typed(code, known), *asked, **more))

    pdoc.render.configure(
        docformat="numpy",
        show_source=False,
        footer_text=f"harmonykit {harmonykit.__version__}",
        template_directory=ROOT / "shared" / "templates" / "reference",
    )
    pdoc.render.env.filters["linkify"] = linkified
    with replaced_whole(out, KIND) as new:
        files = {"index.html": pdoc.render.html_index(pages())}
        for typed, page in pages().items():
            files[f"{typed.replace('.', '/')}.html"] = pdoc.render.html_module(page, pages())
        files["search.js"] = pdoc.render.search_index(pages())
        for name, text in files.items():
            path = new.path / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        write_manifest(new.path, KIND, {}, dict.fromkeys(files, "shared.reference"))
    return out


if __name__ == "__main__":
    asked = argparse.ArgumentParser(
        prog="start.py reference", description="Write every public name as pages to read."
    )
    asked.add_argument("folder", nargs="?", type=Path, default=Path("reference"))
    try:
        written = write(asked.parse_args().folder)
    except HarmonyError as error:
        sys.exit(f"{error}")
    print(f"{written / 'index.html'}: open it in a browser")
