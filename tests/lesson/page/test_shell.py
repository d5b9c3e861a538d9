"""What a page may do: its own script and style by their hashes, and nothing that breaks out."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import sys
from pathlib import Path
from typing import Any

import jinja2
import pytest

from harmonykit.lesson.page.shell import (
    base_css,
    for_script,
    policy,
    policy_of_views,
    shared_text,
    template,
)


def hashed(text: str) -> str:
    """Return what Content Security Policy Level 3 has for an inline element (from memory)."""
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


def rules(text: str) -> dict[str, str]:
    return dict(part.strip().split(" ", 1) for part in text.split(";"))


def test_a_page_runs_its_own_script_and_style_alone() -> None:
    found = rules(policy("play('♯')", "p{}"))
    assert found["default-src"] == "'none'"
    assert found["script-src"] == hashed("play('♯')") and found["style-src"] == hashed("p{}")
    assert found["base-uri"] == found["form-action"] == "'none'"
    assert found["font-src"] == found["img-src"] == "data:"
    views = rules(policy_of_views(["a()", "b()"]))
    assert views["script-src"] == f"{hashed('a()')} {hashed('b()')}"
    assert views["default-src"] == "'none'" and views["media-src"] == "blob:"


@pytest.mark.parametrize(
    "value", ["</script>", "<!--", {"a": ["<", "♭", 1.5, None, True]}, "é\u2028"]
)
def test_data_reads_back_and_never_ends_its_element(value: object) -> None:
    text = for_script(value)
    assert json.loads(text) == value
    assert "<" not in text and text.isascii() and not re.search(r"\s", text)


def test_what_is_no_number_is_no_data() -> None:
    with pytest.raises(ValueError, match="JSON"):
        for_script({"seconds": float("nan")})


def test_the_style_has_colours_for_light_dark_and_paper() -> None:
    css = base_css()
    assert css.endswith(shared_text("page.css"))
    assert ":root{color-scheme:light dark;" in css and "@font-face" in css
    for media in ("(prefers-color-scheme:dark)", "print"):
        assert f"@media {media}{{:root{{" in css
    # Every colour that the style sheet uses is there in all three.
    used = set(re.findall(r"var\((--[\w-]+)[,)]", shared_text("page.css")))
    light = set(re.findall(r"(--[\w-]+):", css.partition("@media")[0]))
    local = set(re.findall(r"(--[\w-]+):", shared_text("page.css")))
    assert {name for name in used if name not in local and name != "--strings"} <= light


def test_a_template_escapes_what_is_put_in_and_misses_nothing_silently() -> None:
    made = template().environment
    assert made.from_string("{{ a }}").render(a="<b>&") == "&lt;b&gt;&amp;"
    with pytest.raises(Exception, match="undefined"):
        made.from_string("{{ nothing }}").render()
    assert made.from_string("{% if a %}\n  {% set b = 1 %}\nx{% endif %}").render(a=1) == "x"


def test_a_template_is_compiled_once_and_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    compiled: list[str] = []
    own = jinja2.Environment.compile

    def compiling(self: jinja2.Environment, source: str, name: str, *more: Any) -> Any:
        compiled.append(name)
        return own(self, source, name, *more)

    monkeypatch.setattr(jinja2.Environment, "compile", compiling)
    made = [template.__wrapped__("index.html.jinja").root_render_func for _ in range(2)]
    assert compiled == ["index.html.jinja"]
    assert made[0].__code__.co_code == made[1].__code__.co_code
    (kept,) = tmp_path.rglob("*.template")
    whole = kept.read_bytes()
    for spoilt in (b"", whole[:10], whole[:-20], b"j2" + whole[:2]):
        kept.write_bytes(spoilt)
        template.__wrapped__("index.html.jinja")
        assert compiled.pop() and kept.read_bytes() == whole
    assert compiled == ["index.html.jinja"]


def test_a_template_that_cannot_be_kept_is_compiled_anyway(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "file"))
    for refused in (False, True):
        monkeypatch.setattr(sys, "dont_write_bytecode", refused)
        assert template.__wrapped__("index.html.jinja").name == "index.html.jinja"
    assert [each.name for each in tmp_path.iterdir()] == ["file"]
