"""What every page of ours is built of: its template, its style sheet, and what it may do.

A page asks nothing of any other place: its content policy allows exactly its own script and its own
style sheet, by their hashes.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from harmonykit.draw.base.colours import css_variables
from harmonykit.draw.base.web import font_faces
from harmonykit.paths import shared_dir

if TYPE_CHECKING:
    from jinja2 import Template


@lru_cache(maxsize=4)
def template(name: str = "page.html.jinja") -> Template:
    """Return a page's template, by its file's name."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        autoescape=True,
        loader=FileSystemLoader(shared_dir() / "templates"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(name)


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
