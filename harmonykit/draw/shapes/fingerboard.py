"""The whole neck drawn once, with every mark that a place may show: a change is one class.

Conventions.  Each place is a group with an id (``string-2-fret-3``, ``string-2-muted``) and the
classes ``place`` and ``role-hidden``, ``role-root``, ``role-third`` and so on: whoever changes the
latter, and the letters in the group's ``<text>``, changes the picture.  The rules are in the
drawing's own ``<style>``, all of them below a class that names size and palette, so that a page may
hold necks of several kinds, and other things of these names.  Strings (``line-2``) and wires
(``wire-3``) have ids too.  The path ``join`` joins the notes of a shape: its ``d`` is
:func:`join_path`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from html import escape

from harmonykit.draw.base.canvas import Canvas
from harmonykit.draw.base.marks import LETTER_COLOURS, mark_drawing
from harmonykit.draw.base.roles import ROLES
from harmonykit.draw.base.style import (
    FAMILIES,
    JOIN_MM,
    POINTS_PER_MM,
    SEMIBOLD,
    Drawing,
    ordinal,
    palette,
)
from harmonykit.draw.base.words import spoken_symbol, string_names
from harmonykit.draw.shapes.board import Board, all_places, draw_board
from harmonykit.draw.shapes.states import HIDDEN, PlaceState
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing

_BODY = re.compile(r"</desc>\s*(.*)</svg>", re.S)
_PLACES, _ALT = "<!--places-->", "@alt@"
_CAP_MIDDLE_EM = 0.327
_CROSS = 0.2
_LETTERED = tuple(role for role in ROLES if role != "passing")


def draw_fingerboard(
    board: Board,
    states: Mapping[str, PlaceState] | None = None,
    *,
    join: Voicing | None = None,
    title: str = "the neck",
    colours: str = "colour",
) -> Drawing:
    """Draw a neck in which every place can change its state.

    Parameters
    ----------
    board : Board
    states : mapping of str to PlaceState, optional
        What is shown at first, as :func:`harmonykit.draw.shapes.states.neck_states` returns it; a
        place that is not in it is hidden.
    join : Voicing, optional
        A shape whose notes are joined by a line.
    title : str
    colours : str
        The name of a palette.

    Raises
    ------
    HarmonyError
        If a state belongs to a place that the board does not have.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> from harmonykit.draw.shapes.states import neck_states
    >>> from harmonykit.theory.chord import Chord
    >>> ukulele = Instrument.named("ukulele")
    >>> neck = draw_fingerboard(Board(ukulele), neck_states(ukulele, Chord.parse("C6")))
    >>> '<g id="string-1-fret-2" class="place role-seventh"' in neck.svg
    True
    >>> neck.alt.split(". ")[3]
    'E string: open E, third; third fret G, fifth; fifth fret A, sixth or seventh; \
eighth fret C, root; twelfth fret E, third'
    """
    known, base = states or {}, _base(board, title, colours)
    names = set(known)
    line = "" if join is None else join_path(board, join)
    places = "\n".join(
        [f'<path id="join" class="join" d="{line}"/>', *_places(board, known, names)]
    )
    if names:
        raise HarmonyError(
            f"{min(names)} is no place of this board",
            rule=f"it shows {board.frets} frets of the {board.instrument.name}",
        )
    alt = describe_states(board, known)
    svg = base.svg.replace(_PLACES, places).replace(_ALT, escape(alt))
    return replace(base, svg=svg, alt=alt)


def join_path(board: Board, voicing: Voicing) -> str:
    """Return the ``d`` of the path that joins the notes of a shape, string by string.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> ukulele = Instrument.named("ukulele")
    >>> join_path(Board(ukulele), Voicing.parse("0000", ukulele))
    'M30.90 85.04L30.90 62.36L30.90 39.69L30.90 17.01'
    """
    points = [(x * POINTS_PER_MM, y * POINTS_PER_MM) for x, y in board.points(voicing)]
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points)


def describe_states(board: Board, states: Mapping[str, PlaceState]) -> str:
    """Return in words what a neck shows: for each string its places and what stands there.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> board = Board(Instrument.named("ukulele"))
    >>> describe_states(board, {"string-2-fret-3": PlaceState("third", "E♭")})
    'The neck of the ukulele, tuned g C E A. C string: third fret E flat, third'
    """
    instrument = board.instrument
    said: dict[int, list[str]] = {}
    for string, fret in all_places(board):
        state = states.get(_gid(string, fret), HIDDEN)
        if state.role != "hidden":
            said.setdefault(string, []).append(_said(fret, state))
    places = string_names(instrument)
    for string in range(len(places)):
        if states.get(f"string-{string + 1}-muted", HIDDEN).role == "muted":
            said.setdefault(string, []).append("not played")
    parts = [f"{places[string]}: {'; '.join(said[string])}" for string in sorted(said)]
    hand = ", drawn for the left hand" if board.turned else ""
    head = f"The neck of the {instrument.name}, tuned {instrument.tuning}{hand}"
    return ". ".join([head, *(parts or ["No note is shown"])])


def _said(fret: int, state: PlaceState) -> str:
    where = f"{ordinal(fret)} fret" if fret else "open"
    letters = f" {spoken_symbol(state.letters)}" if state.letters else ""
    return f"{where}{letters}" + ("" if state.role == "note" else f", {ROLES[state.role]}")


def _gid(string: int, fret: int) -> str:
    return f"string-{string + 1}-fret-{fret}"


@lru_cache(maxsize=16)
def _base(board: Board, title: str, colours: str) -> Drawing:
    """Return the board with marks to use and rules, but without its places."""
    sizes = board.sizes
    bottom = board.top + board.high + sizes.number_down + 2.2 * sizes.number_pt / 9.0
    canvas = Canvas(board.width, bottom, colours)
    canvas.insert(f"<style>{state_css(board, colours)}</style>")
    canvas.insert("<defs>" + "".join(_marks(board, colours)) + "</defs>")
    draw_board(canvas, board, named=True)
    canvas.insert(_PLACES)
    return canvas.drawing(title, _ALT, (board.x_of_wire(0), board.top), _kind(board, colours))


def _kind(board: Board, colours: str) -> str:
    return f"fingerboard-{board.size}-{colours}".replace(" ", "-")


def state_css(board: Board, colours: str = "colour") -> str:
    """Return the rules that make a place show what its class says.

    Examples
    --------
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> state_css(Board(Instrument.named("ukulele"))).partition(",")[0]
    '.fingerboard-plain-colour .place>use'
    """
    tokens, size, top = palette(colours).tokens, board.sizes, f".{_kind(board, colours)}"
    shown = [f"{top} .role-{role}>.mark-{role}" for role in (*ROLES, "muted")]
    shown += [f"{top} .role-{role}>text" for role in _LETTERED]
    rules = {
        f"{top} .place>use,{top} .place>text": "display:none",
        ",".join(shown): "display:inline",
        f"{top} .place>text": f"font:{SEMIBOLD} {size.letter_pt:g}px {FAMILIES};"
        f"text-anchor:middle;fill:{tokens['paper']}",
        **{
            f"{top} .role-{role}>text": f"fill:{tokens[token]}"
            for role, token in LETTER_COLOURS.items()
        },
        f"{top} .join": f"fill:none;stroke:{tokens['ink']};"
        f"stroke-width:{JOIN_MM * size.line**0.5 * POINTS_PER_MM:.2f}",
    }
    return "".join(f"{selector}{{{rule}}}" for selector, rule in rules.items())


def _marks(board: Board, colours: str) -> Iterator[str]:
    """Yield each mark once, its middle at the origin."""
    for role in ROLES:
        drawing = mark_drawing(role, board.mark, colours)
        found = _BODY.search(drawing.svg)
        back = -drawing.width_mm / 2 * POINTS_PER_MM
        body = found[1].strip() if found else ""
        yield f'<g id="mark-{role}" transform="translate({back:.2f} {back:.2f})">{body}</g>'
    half = _CROSS * board.sizes.mark * POINTS_PER_MM
    path = f"M{-half:.2f} {-half:.2f}L{half:.2f} {half:.2f}M{-half:.2f} {half:.2f}"
    ink, width = palette(colours).ink, 0.42 * board.sizes.line * POINTS_PER_MM
    yield (
        f'<path id="mark-muted" d="{path}L{half:.2f} {-half:.2f}" fill="none" stroke="{ink}"'
        f' stroke-width="{width:.2f}"/>'
    )


def _places(board: Board, states: Mapping[str, PlaceState], names: set[str]) -> Iterator[str]:
    """Yield every place with its state, and take its name from those that are not yet found."""
    uses = "".join(f'<use class="mark-{role}" href="#mark-{role}"/>' for role in ROLES)
    down = _CAP_MIDDLE_EM * board.sizes.letter_pt
    for string, fret in all_places(board):
        gid = _gid(string, fret)
        if fret == 0:
            yield from _muted(board, string, states, names)
        state = states.get(gid, HIDDEN)
        names.discard(gid)
        area = f"{_area(board, string, fret)}{uses}"
        text = f'<text y="{down:.2f}">{escape(state.letters)}</text>'
        yield f"{_open(board, gid, string, fret, state)}{area}{text}</g>"


def _muted(
    board: Board, string: int, states: Mapping[str, PlaceState], names: set[str]
) -> Iterator[str]:
    gid = f"string-{string + 1}-muted"
    names.discard(gid)
    opened = _open(board, gid, string, 0, states.get(gid, HIDDEN))
    yield f'{opened}<use class="mark-muted" href="#mark-muted"/></g>'


def _open(board: Board, gid: str, string: int, fret: int, state: PlaceState) -> str:
    x, y = (v * POINTS_PER_MM for v in (board.x(fret, string), board.y(string)))
    moved = f'transform="translate({x:.2f} {y:.2f})"'
    return f'<g id="{gid}" class="place role-{state.role}" {moved}>'


def _area(board: Board, string: int, fret: int) -> str:
    """Return what a click meets, its middle at the origin."""
    _, _, wide, high = (v * POINTS_PER_MM for v in board.cell(string, fret))
    corner = f'x="{-wide / 2:.2f}" y="{-high / 2:.2f}"'
    size = f'width="{wide:.2f}" height="{high:.2f}"'
    return f'<rect class="area" {corner} {size} fill="none" pointer-events="all"/>'
