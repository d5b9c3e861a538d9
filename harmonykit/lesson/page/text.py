"""A lesson's Markdown as HTML that is safe to show.

HTML in the Markdown is shown as text.  A picture beside the lesson's file is put in whole, one from
elsewhere as its words (the page asks nothing of any other place), and a link may lead only to a web
page or a mail address.  Headings keep their order: none stands above the section's own, and none
skips a rank.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from harmonykit.lesson.plan.pictures import load_picture

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token


def shape_pattern(strings: int) -> re.Pattern[str]:
    """Return what a shape in digits looks like on so many strings.

    Examples
    --------
    >>> shape_pattern(4).findall("2-3-2-3 or 10-12-x-12, not 1-2-3 or 1-2-1-2-1")
    ['2-3-2-3', '10-12-x-12']
    """
    fret = r"(?:\d{1,2}|x)"
    return re.compile(rf"(?<![\w-]){fret}(?:-{fret}){{{strings - 1}}}(?![\w-])")


def hear_button(digits: str) -> str:
    """Return a shape in digits that is heard when it is pressed."""
    return (
        f'<button type="button" class="hear" data-frets="{digits}" title="Hear it">'
        f"{digits}</button>"
    )


def with_buttons(text: str, strings: int) -> str:
    """Return a text as HTML, each shape in it as a button.

    Examples
    --------
    >>> with_buttons("A & B", 4)
    'A &amp; B'
    """
    return "".join(
        hear_button(part) if shape else escape(part) for part, shape in _split(text, strings)
    )


def _split(text: str, strings: int) -> Iterator[tuple[str, bool]]:
    end = 0
    for found in shape_pattern(strings).finditer(text):
        yield text[end : found.start()], False
        yield found[0], True
        end = found.end()
    yield text[end:], False


# A pixel of CSS, a 96th of an inch.
_PIXEL_MM = 25.4 / 96


def to_html(markdown: str, strings: int, above: int = 2, folder: Path | None = None) -> str:
    """Return Markdown as HTML.

    Parameters
    ----------
    markdown : str
    strings : int
        Of the instrument: a shape in digits of as many places becomes a button.
    above : int in 1..5
        The rank of the heading under which it stands.
    folder : Path, optional
        Where the lesson's own pictures are: ``![my hand](hand.png)``.

    Raises
    ------
    LessonError
        For a picture that is missing there, too large, or of an unknown kind.

    Examples
    --------
    >>> to_html("# Look\\n\\n**one** <script>", 4)
    '<h3>Look</h3>\\n<p><strong>one</strong> &lt;script&gt;</p>\\n'
    """
    reader = _reader()
    tokens = reader.parse(markdown)
    _rank_headings(tokens, above)
    heading = False
    for token in tokens:
        if token.type in ("heading_open", "heading_close"):
            heading = token.type == "heading_open"
        elif token.children and not heading:
            token.children = list(_playable(token.children, strings))
    return str(reader.renderer.render(tokens, reader.options, {"folder": folder}))


@lru_cache(maxsize=1)
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt

    reader = MarkdownIt("js-default")
    rules = reader.renderer.rules  # type: ignore[attr-defined]
    rules["image"] = _image
    rules["table_open"] = lambda *_: '<div class="scroll"><table>\n'
    rules["table_close"] = lambda *_: "</table></div>\n"
    return reader


def _image(tokens: Sequence[Token], index: int, _: object, env: dict[str, Any]) -> str:
    """Return a picture of the lesson's folder with its bytes; any other as its words."""
    token, folder = tokens[index], env["folder"]
    source, title = (str(token.attrs.get(name) or "") for name in ("src", "title"))
    found = None if folder is None else load_picture(folder, source, token.content, title)
    if found is None:
        return escape(token.content)
    wide = f' width="{found.width_mm / _PIXEL_MM:.0f}"' if title else ""
    return f'<img alt="{escape(found.alt)}" src="{found.uri}"{wide}>'


def _rank_headings(tokens: Sequence[Token], above: int) -> None:
    """Give each heading a rank below the section's, and at most one below the one before."""
    before = above
    for token in tokens:
        if token.type == "heading_open":
            before = min(max(int(token.tag[1:]) + above - 1, above + 1), before + 1, 6)
            token.tag = f"h{before}"
        elif token.type == "heading_close":
            token.tag = f"h{before}"


def _playable(tokens: Sequence[Token], strings: int) -> Iterator[Token]:
    """Yield inline tokens, shapes turned into buttons; not inside a link."""
    from markdown_it.token import Token

    linked = 0
    for token in tokens:
        linked += token.nesting if token.type.startswith("link") else 0
        if token.type != "text" or linked or not shape_pattern(strings).search(token.content):
            yield token
            continue
        yield Token("html_inline", "", 0, content=with_buttons(token.content, strings))
