"""Shapes under the staff of an engraved score, each below the symbol that it belongs to.

Conventions.  Shapes are read from the frames of the score (MusicXML 4.0, ``frame``): string 1 is
drawn on the right, a string without a note is muted.  Every system is moved down by the room that
the shapes of those above it take.  Lengths are in millimetres.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.etree.ElementTree import Element

from harmonykit.errors import HarmonyError

_SYSTEM = re.compile(r'<g id="[^"]*" class="system">')
_SYMBOL = re.compile(r'class="harm"[^>]*>\s*<text x="(-?\d+)"')
_HEIGHTS = re.compile(r"(?:[ML]-?\d+ |translate\(-?\d+, )(-?\d+)")
_OUTER = re.compile(r'(<svg [^>]*viewBox="0 0 )([\d.]+) ([\d.]+)"')
_INNER = re.compile(r'(class="definition-scale"[^>]*viewBox="0 0 )([\d.]+) ([\d.]+)"')
# Between strings, between frets, from the staff to the shape and from the shape to what follows.
_STRING, _FRET, _ABOVE, _BELOW = 1.6, 2.0, 3.8, 2.5
_BETWEEN = 2.4
# Half a note head: a shape is centred under it.
_HALF_HEAD = 0.9
_SMALLEST = 0.5


@dataclass(frozen=True, slots=True)
class Frame:
    """A shape as a score gives it: frets from string 1 to the last, the first fret, the rows."""

    frets: tuple[int | None, ...]
    first: int
    rows: int


def frames_of(root: Element) -> list[Frame | None]:
    """Return for each chord symbol of a score its shape, or None."""
    return [
        None if (frame := harmony.find("frame")) is None else _frame(frame)
        for harmony in root.iter("harmony")
    ]


def _frame(element: Element) -> Frame:
    def number(name: str, usual: int, most: int) -> int:
        text = element.findtext(name) or str(usual)
        return min(max(int(text), 1), most) if text.strip().isdigit() else usual

    count = number("frame-strings", 6, 12)
    frets: list[int | None] = [None] * count
    for note in element.iterfind("frame-note"):
        string, fret = note.findtext("string") or "", note.findtext("fret") or ""
        if string.isdigit() and fret.isdigit() and 1 <= int(string) <= count:
            frets[int(string) - 1] = int(fret)
    return Frame(tuple(frets), number("first-fret", 1, 36), number("frame-frets", 4, 12))


def add_shapes(svg: str, frames: Sequence[Frame | None]) -> str:
    """Return an engraver's SVG with shapes under its staves.

    Raises
    ------
    HarmonyError
        If the SVG has other symbols than the score.
    """
    outer, inner = _OUTER.search(svg), _INNER.search(svg)
    starts = [found.start() for found in _SYSTEM.finditer(svg)]
    if outer is None or inner is None or not starts:
        raise HarmonyError("this SVG has no systems of an engraved score")
    systems = [svg[a:b] for a, b in pairwise([*starts, len(svg)])]
    counts = [len(_SYMBOL.findall(system)) for system in systems]
    if sum(counts) != len(frames):
        raise HarmonyError(f"{sum(counts)} symbols are engraved of {len(frames)}")
    millimetre = float(inner[2]) / float(outer[2]) * 10
    room = _room(frames) * millimetre
    parts, taken = [svg[: starts[0]]], 0
    for number, (system, count) in enumerate(zip(systems, counts, strict=True)):
        here = frames[taken : taken + count]
        parts.append(_with_shapes(system, here, round(number * room), millimetre))
        taken += count
    return _heightened("".join(parts), round(len(systems) * room))


def _room(frames: Sequence[Frame | None]) -> float:
    rows = max((frame.rows for frame in frames if frame), default=0)
    return _ABOVE + rows * _FRET + _BELOW if rows else 0.0


def _heightened(svg: str, room: int) -> str:
    """Return the SVG with both of its views higher."""

    def higher(found: re.Match[str], more: float) -> str:
        return f'{found[1]}{found[2]} {float(found[3]) + more:g}"'

    outer, inner = _OUTER.search(svg), _INNER.search(svg)
    assert outer is not None and inner is not None
    scale = float(outer[2]) / float(inner[2])
    svg = _OUTER.sub(lambda found: higher(found, round(room * scale)), svg, count=1)
    return _INNER.sub(lambda found: higher(found, room), svg, count=1)


def _with_shapes(system: str, frames: Sequence[Frame | None], down: int, millimetre: float) -> str:
    """Return a system moved down, with its shapes."""
    places = [int(x) / millimetre for x in _SYMBOL.findall(system)]
    bottom = max(map(int, _HEIGHTS.findall(system))) / millimetre
    drawn = [
        _shape(frame, x + _HALF_HEAD, bottom + _ABOVE, size)
        for frame, x, size in zip(frames, places, _sizes(frames, places), strict=True)
        if frame is not None
    ]
    opening = _SYSTEM.match(system)
    assert opening is not None
    moved = opening[0].replace(">", f' transform="translate(0, {down})">')
    inside = f'<g class="shapes" transform="scale({millimetre:.3f})">{"".join(drawn)}</g>'
    return moved + inside + system[opening.end() :]


def _sizes(frames: Sequence[Frame | None], places: Sequence[float]) -> Iterator[float]:
    """Yield how large each shape may be: it leaves its neighbours their room."""
    widths = [(len(frame.frets) - 1) * _STRING if frame else 0.0 for frame in frames]
    nearest = min((abs(b - a) for a, b in pairwise(sorted(places))), default=99.0)
    for width in widths:
        fits = (nearest - _BETWEEN) / width if width else 1.0
        yield min(1.0, max(_SMALLEST, fits))


def _shape(frame: Frame, middle: float, top: float, size: float) -> str:
    """Return a shape's lines and marks; the group is scaled about its middle at the nut."""
    strings = len(frame.frets)
    width, height = (strings - 1) * _STRING, frame.rows * _FRET
    left = -width / 2
    lines = [_line(left + n * _STRING, 0, left + n * _STRING, height) for n in range(strings)]
    lines += [_line(left, n * _FRET, left + width, n * _FRET) for n in range(frame.rows + 1)]
    if frame.first == 1:
        lines.append(_line(left, 0, left + width, 0, 0.5))
    else:
        lines.append(_text(str(frame.first), left - 0.9, _FRET * 0.5 + 0.75, "end"))
    marks = [
        _mark(fret, left + (strings - 1 - n) * _STRING, frame.first)
        for n, fret in enumerate(frame.frets)
    ]
    said = " ".join("x" if fret is None else str(fret) for fret in reversed(frame.frets))
    place = f"translate({middle:.2f}, {top:.2f}) scale({size:.2f})"
    return (
        f'<g class="shape" role="img" aria-label="frets {said}" transform="{place}">'
        f"{''.join(lines)}{''.join(marks)}</g>"
    )


def _mark(fret: int | None, x: float, first: int) -> str:
    if fret is None:
        return _text("×", x, -0.5, "middle")
    if fret == 0:
        circle = 'fill="none" stroke="currentColor" stroke-width="0.15"'
        return f'<circle cx="{x:.2f}" cy="-0.95" r="0.45" {circle} />'
    y = (fret - first + 0.5) * _FRET
    return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="0.62" fill="currentColor" stroke="none" />'


def _line(x: float, y: float, to_x: float, to_y: float, thick: float = 0.15) -> str:
    return (
        f'<path d="M{x:.2f} {y:.2f} L{to_x:.2f} {to_y:.2f}" stroke="currentColor" '
        f'stroke-width="{thick}" />'
    )


def _text(text: str, x: float, y: float, anchor: str) -> str:
    return f'<text x="{x:.2f}" y="{y:.2f}" font-size="2.1px" text-anchor="{anchor}">{text}</text>'
