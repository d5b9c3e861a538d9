"""A lesson's own pictures: files beside it that its text puts in, ``![my hand](hand.png "60 mm")``.

The words in square brackets are said to whoever does not see the picture; what stands in quotes is
how wide it is printed.  A picture from elsewhere is no picture of the lesson: it stays words.
"""

from __future__ import annotations

import base64
import re
import struct
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote

from harmonykit.errors import Place
from harmonykit.lesson.plan.model import LessonError, Section, Text
from harmonykit.values import dataclass

if TYPE_CHECKING:
    from markdown_it import MarkdownIt

FOLDER = "pictures"
"""The folder of the pictures beside a script."""

KINDS = {
    ".png": "image/png", ".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".webp": "image/webp",
}  # fmt: skip
MOST_BYTES = 4_000_000
USUAL_MM, LEAST_MM, MOST_MM = 60.0, 10.0, 174.0
# A picture in a text, its file named as people name files: "![my hand](my hand (2).jpg "60 mm")".
_PUT_IN = re.compile(
    r"(!\[[^\]\n]*\]\(\s*)"
    rf"((?:(?!\]\()[^<>\"\n])+?(?:{'|'.join(map(re.escape, KINDS))}))"
    r"(?=(?:\s+\"[^\"\n]*\")?\s*\))",
    re.IGNORECASE,
)
_SIZE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*mm\s*")
# Of a JPEG: the segments that hold its size, and those without a length.
_JPEG_SIZES = frozenset({*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC})
_JPEG_BARE = frozenset({0x01, *range(0xD0, 0xD9)})


@dataclass(frozen=True, slots=True)
class OwnPicture:
    """A picture of the lesson's folder.

    Parameters
    ----------
    source : str
        Its path from the lesson's file.
    alt : str
        What it shows, in words.
    width_mm : float
        How wide it is printed.
    data : bytes
        The file.
    """

    source: str
    alt: str
    width_mm: float
    data: bytes

    @property
    def kind(self) -> str:
        """Its kind, as the web has it."""
        return KINDS[Path(self.source).suffix.lower()]

    @property
    def name(self) -> str:
        """Its file's name beside a script: folders are told in it, and it has no spaces."""
        return re.sub(r"[/\s]+", "-", self.source)

    @property
    def uri(self) -> str:
        """The whole picture as an address."""
        return f"data:{self.kind};base64,{base64.b64encode(self.data).decode('ascii')}"

    @property
    def high_mm(self) -> float:
        """How high it is printed."""
        wide, high = pixels(self.data)
        return self.width_mm * high / wide

    @property
    def svg(self) -> str:
        """The picture as a drawing, its unit a pixel."""
        wide, high = pixels(self.data)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" '
            f'height="{high}"><image href="{self.uri}" width="{wide}" height="{high}"/></svg>'
        )


def with_whole_names(line: str) -> str:
    """Return a line of a text in which the names of pictures may hold spaces and brackets.

    Markdown reads no picture where the name of its file holds a space, unless it stands between
    angle brackets.

    Examples
    --------
    >>> with_whole_names('![my hand](my hand (2).jpg "60 mm") and ![a map](map.png)')
    '![my hand](<my hand (2).jpg> "60 mm") and ![a map](map.png)'
    """
    return _PUT_IN.sub(
        lambda m: f"{m[1]}<{m[2]}>" if re.search(r"[\s()]", m[2]) else m[0],
        line,
    )


def load_picture(folder: Path, source: str, alt: str, title: str = "") -> OwnPicture | None:
    """Return a picture of a lesson's folder; None for one from elsewhere.

    Parameters
    ----------
    folder : Path
    source : str
        As it stands in the text.
    alt : str
        What it shows, in words.
    title : str
        How wide it is printed: ``"60 mm"``; other words are no size.

    Raises
    ------
    LessonError
        For a file that is missing, too large, of an unknown kind, or damaged; for a size that no
        page has.
    """
    source = unquote(source)
    if ":" in source or source.startswith("/"):
        return None
    path = folder / source
    inside = path.resolve().is_relative_to(folder.resolve())
    known = path.suffix.lower() in KINDS
    if not known or not inside or not path.is_file() or path.stat().st_size > MOST_BYTES:
        raise LessonError(
            f"the picture {source!r} cannot be put in",
            rule="a PNG, JPEG or WebP file beside the lesson, of 4 MB at most",
            mend=f"![{alt}](hand.png)",
        )
    size = _SIZE.fullmatch(title)
    wide = float(size[1]) if size else USUAL_MM
    if not LEAST_MM <= wide <= MOST_MM:
        raise LessonError(
            f"the picture {source!r} is {wide:g} mm wide",
            rule=f"{LEAST_MM:g} to {MOST_MM:g} mm",
            mend=f'![{alt}]({source} "{USUAL_MM:g} mm")',
        )
    return OwnPicture(source, alt, wide, path.read_bytes())


def own_pictures(markdown: str, folder: Path) -> Iterator[OwnPicture]:
    """Yield the lesson's own pictures of a text, in order.

    Raises
    ------
    LessonError
        As ``load_picture``; a picture whose size cannot be read is refused too.
    """
    if "![" not in markdown:
        return
    for token in _reader().parse(markdown):
        for part in token.children or ():
            if part.type == "image":
                source, title = (str(part.attrs.get(name) or "") for name in ("src", "title"))
                found = load_picture(folder, source, part.content, title)
                if found is not None:
                    pixels(found.data)
                    yield found


@lru_cache(maxsize=1)
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt

    return MarkdownIt("commonmark")


def check_pictures(sections: Iterable[Section], path: Path) -> None:
    """Check that every picture of a lesson's text can be put in.

    Raises
    ------
    LessonError
        With the line of the text.
    """
    for section in sections:
        for block in section.blocks:
            if isinstance(block, Text):
                try:
                    list(own_pictures(block.markdown, path.parent))
                except LessonError as error:
                    raise error.at(_place(block, path, error.what)) from None


def _place(block: Text, path: Path, what: str) -> Place:
    """Return the line of a text that names the picture of which an error speaks."""
    source = what.split("'")[1] if "'" in what else "!["
    for line, text in zip(block.lines, block.markdown.split("\n"), strict=False):
        if source in unquote(text):
            return Place(path.name, line, text.find("![") + 1, text)
    return Place(path.name, block.lines[0] if block.lines else None)


def in_folder(markdown: str, folder: Path) -> str:
    """Return a text with its own pictures named as they are named beside a script.

    Examples
    --------
    >>> in_folder("No picture.", Path("."))
    'No picture.'
    """
    for one in own_pictures(markdown, folder):
        written = re.compile(rf"\]\(\s*<?{re.escape(one.source)}>?(?=[\s)])")
        markdown = written.sub(f"]({FOLDER}/{one.name}", markdown)
    return markdown


@lru_cache(maxsize=64)
def pixels(data: bytes) -> tuple[int, int]:
    """Return how wide and how high a PNG, a JPEG or a WebP is, in pixels.

    Raises
    ------
    LessonError
        If that cannot be read.
    """
    try:
        wide, high = _pixels(data)
    except (struct.error, IndexError, ValueError):
        wide = high = 0
    if wide < 1 or high < 1:
        raise LessonError(
            "a picture is damaged", rule="its size in pixels could not be read"
        ) from None
    return wide, high


def _pixels(data: bytes) -> tuple[int, int]:
    """The places are those of the standards: PNG (ISO/IEC 15948), JPEG (T.81), WebP (RFC 9649)."""
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        wide, high = struct.unpack(">II", data[16:24])
    elif data.startswith(b"\xff\xd8"):
        high, wide = struct.unpack(">HH", _jpeg_frame(data))
    elif data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        wide, high = _webp(data)
    else:
        wide = high = 0
    return wide, high


def _jpeg_frame(data: bytes) -> bytes:
    at = 2
    while data[at] == 0xFF:
        marker = data[at + 1]
        if marker in _JPEG_SIZES:
            return data[at + 5 : at + 9]
        length = 0 if marker in _JPEG_BARE else struct.unpack(">H", data[at + 2 : at + 4])[0]
        at += 2 + length if marker != 0xFF else 1
    raise ValueError(at)


def _webp(data: bytes) -> tuple[int, int]:
    kind = data[12:16]
    if kind == b"VP8X":
        return 1 + int.from_bytes(data[24:27], "little"), 1 + int.from_bytes(data[27:30], "little")
    if kind == b"VP8L":
        bits = int.from_bytes(data[21:25], "little")
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    wide, high = struct.unpack("<HH", data[26:30])
    return wide & 0x3FFF, high & 0x3FFF
