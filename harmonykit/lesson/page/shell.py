"""What every page of ours is built of: its template, its style sheet, and what it may do.

A page asks nothing of any other place: its content policy allows exactly its own script and its own
style sheet, by their hashes.
"""

from __future__ import annotations

import base64
import hashlib
import json
import sys
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache
from importlib.util import cache_from_source
from pathlib import Path
from pickle import UnpicklingError
from typing import TYPE_CHECKING, Any

from harmonykit.draw.base.colours import css_variables
from harmonykit.draw.base.web import font_faces
from harmonykit.errors import HarmonyError
from harmonykit.files.file import write_whole
from harmonykit.paths import shared_dir

if TYPE_CHECKING:
    from jinja2 import BytecodeCache, Template
    from jinja2.bccache import Bucket


@lru_cache(maxsize=4)
def template(name: str = "page.html.jinja") -> Template:
    """Return a page's template, by its file's name."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = shared_dir() / "templates"
    environment = Environment(
        autoescape=True,
        loader=FileSystemLoader(folder),
        bytecode_cache=_compiled(folder),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(name)


def _compiled(folder: Path) -> BytecodeCache:
    """Return where templates are kept compiled: beside them, as Python keeps its modules.

    What is kept of another text, or by another Python, is compiled again; where nothing can be
    kept, each process compiles for itself.
    """
    from jinja2 import BytecodeCache

    class Kept(BytecodeCache):
        def load_bytecode(self, bucket: Bucket) -> None:
            with suppress(OSError, EOFError, UnpicklingError):
                bucket.bytecode_from_string(_kept_at(folder, bucket.key).read_bytes())

        def dump_bytecode(self, bucket: Bucket) -> None:
            if not sys.dont_write_bytecode:
                with suppress(OSError, HarmonyError):
                    path = _kept_at(folder, bucket.key)
                    path.parent.mkdir(parents=True, exist_ok=True)
                    write_whole(path, bucket.bytecode_to_string())

    return Kept()


def _kept_at(folder: Path, key: str) -> Path:
    return Path(cache_from_source(str(folder / f"{key}.py"))).with_suffix(".template")


@lru_cache(maxsize=1)
def base_css() -> str:
    """Return the style sheet that every page has, fonts and colours with it."""
    colours = (
        f":root{{color-scheme:light dark;{css_variables('colour')}}}\n"
        f"@media (prefers-color-scheme:dark){{:root{{{css_variables('dark')}}}}}\n"
        f"@media print{{:root{{color-scheme:light;{css_variables('print')}}}}}\n"
    )
    return font_faces(italic=True) + colours + shared_text("page.css")


def shared_text(name: str) -> str:
    """Return what a file beside the templates holds."""
    return (shared_dir() / "templates" / name).read_text(encoding="utf-8")


def policy_of_views(scripts: Sequence[str]) -> str:
    """Return a content policy for a page with panels: these scripts, any style, sounds made here.

    A panel's picture has styles at its parts, which no hash can name.
    """
    hashes = " ".join(f"'{_hash(each)}'" for each in scripts)
    return (
        f"default-src 'none'; script-src {hashes}; style-src 'unsafe-inline'; media-src blob:; "
        "font-src data:; img-src data:; base-uri 'none'; form-action 'none'"
    )


def policy(script: str, style: str) -> str:
    """Return a content policy that allows this script, this style sheet, and nothing else."""
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; "
        "font-src data:; img-src data:; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"


def for_script(value: Any) -> str:
    """Return JSON that no text in it can break out of a script element.

    Examples
    --------
    >>> for_script({"title": "</script>"})
    '{"title":"\\\\u003c/script>"}'
    """
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c")
