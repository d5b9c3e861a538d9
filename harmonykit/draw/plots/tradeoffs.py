"""Colour against movement and difficulty: the offers at each density, as lines from plain on.

Conventions.  Across: chords added in eight bars; up: semitones a bar in the one panel, difficulty
in the other.  A line goes from the tune as written through the densities of one offer, whose name
stands at its end; each offer has a dash of its own.  A solid disc is on the Pareto front; an open
ring is beaten: another has as much colour, is as smooth and as easy, and better in one of them.
"""

from collections.abc import Callable, Sequence
from itertools import groupby, pairwise

from harmonykit.arrange.gains_and_costs import Tradeoff
from harmonykit.draw.base.canvas import LABEL_PT, NOTE_PT, SCREEN_MM, Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.draw.plots import course, frame
from harmonykit.draw.tree import Point
from harmonykit.errors import HarmonyError

_BESIDE_MM, _LEFT_MM, _HEAD_MM, _UP_MM, _BELOW_MM, _RIGHT_MM = 130.0, 9.0, 6.5, 58.0, 11.0, 4.0
_DASHES: tuple[tuple[float, ...], ...] = ((), (2.4, 1.2), (0.6, 1.0), (3.6, 1.0, 0.6, 1.0))
_MARK_MM, _GAP_MM, _HIGH_MM, _TOLD = 2.4, 6.0, 4.2, 3

_PANELS: tuple[tuple[str, str, Callable[[Tradeoff], float]], ...] = (
    ("movement", "semitones a bar, all voices", lambda each: each.movement),
    ("difficulty", "difficulty of the shapes, 1 to 34", lambda each: each.difficulty),
)


def draw_tradeoffs(
    found: Sequence[Tradeoff], *, width_mm: float = SCREEN_MM, palette: str = "colour"
) -> Drawing:
    """Draw what each offer gains in colour, and what it costs in movement and difficulty.

    Parameters
    ----------
    found : sequence of Tradeoff
        As ``hk.arrange.tradeoffs`` gives them.
    width_mm : float, optional
        How wide the figure is; a telephone has room for 90 mm, where the panels stand over each
        other.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If there is nothing to draw, or the figure is narrower than 90 mm.

    Examples
    --------
    >>> found = hk.arrange.tradeoffs("slack_water_waltz", "ukulele")
    >>> hk.draw.tradeoffs(found).alt.split(" in ")[0]
    'An added chord takes the least extra movement'
    """
    if not found:
        raise HarmonyError("0 arrangements to draw", mend='hk.arrange.tradeoffs(tune, "ukulele")')
    frame.check_width(width_mm)
    beside = width_mm >= _BESIDE_MM
    wide = (width_mm - _GAP_MM) / 2 if beside else width_mm
    high = _HEAD_MM + _UP_MM + _BELOW_MM
    told = _findings(found)
    foot = frame.Foot(width_mm, told, _KEY, _sample)
    canvas = Canvas(width_mm, high * (1 if beside else 2) + foot.high, palette)
    for place, (name, title, value) in enumerate(_PANELS):
        corner = (place * (wide + _GAP_MM), 0.0) if beside else (0.0, place * high)
        with canvas.group(name):
            _panel(canvas, found, title, value, (*corner, wide))
    foot.draw(canvas, canvas.height - foot.high)
    return canvas.drawing("colour, movement and difficulty", " ".join(told))


def _panel(
    canvas: Canvas,
    found: Sequence[Tradeoff],
    title: str,
    value: Callable[[Tradeoff], float],
    where: tuple[float, float, float],
) -> None:
    left, top, wide = where
    across = frame.round_ticks([0.0, *(each.added for each in found)])
    up = frame.round_ticks([value(each) for each in found])
    room = wide - _LEFT_MM - _RIGHT_MM
    ground, start = top + _HEAD_MM + _UP_MM, left + _LEFT_MM

    def at(x: float, y: float) -> Point:
        right = (x - across[0]) / (across[-1] - across[0])
        return start + right * room, ground - (y - up[0]) / (up[-1] - up[0]) * _UP_MM

    canvas.text(left + 1.0, top + 3.2, title, NOTE_PT, colour="soft", anchor="left")
    frame.draw_grid(canvas, at, across, up)
    said = "chords added in eight bars"
    canvas.text(start + room, ground + 9.0, said, NOTE_PT, colour="soft", anchor="right")
    spots = {each.name: at(each.added, value(each)) for each in found}
    lines = [[spots[each.name] for each in line] for line in _lines(found)]
    for place, line in enumerate(lines):
        canvas.lines([line], 0.35, dash=_DASHES[place % len(_DASHES)])
    # The larger ring of one that is beaten shows about a disc at the same place.
    for each in sorted(found, key=lambda each: not each.beaten_by):
        _mark(canvas, spots[each.name], on_front=not each.beaten_by)
    ends = {line[-1].style: spots[line[-1].name] for line in _lines(found)}
    ends = {found[0].style: spots[found[0].name]} | ends
    _name(canvas, ends, list(spots.values()), lines, (start, top + _HEAD_MM, left + wide, ground))


def _lines(found: Sequence[Tradeoff]) -> list[list[Tradeoff]]:
    """Return the steps of each offer, from the tune as written on."""
    first, rest = found[0], found[1:]
    return [[first, *group] for _, group in groupby(rest, key=lambda each: each.style)]


def _mark(canvas: Canvas, spot: Point, *, on_front: bool) -> None:
    fill, across = ("ink", _MARK_MM) if on_front else ("paper", _MARK_MM + 1.2)
    canvas.circle(*spot, across - 0.4, fill=fill, stroke="ink", width=0.4)


def _name(
    canvas: Canvas,
    ends: dict[str, Point],
    marks: Sequence[Point],
    lines: Sequence[Sequence[Point]],
    within: tuple[float, float, float, float],
) -> None:
    """Write each offer's name at the end of its line, clear of marks and, if possible, of lines."""
    sizes = [(text_width(name, LABEL_PT, SEMIBOLD) + 1.0, _HIGH_MM) for name in ends]
    along = [point for line in lines for a, b in pairwise(line) for point in between(a, b)]
    spots = frame.place_labels(
        list(ends.values()), sizes, within=within, gap=1.8, clear=marks, clear_mm=1.6,
        rather_not=along,
    )  # fmt: skip
    sizes = [(wide, 3.8) for wide, _ in sizes]
    course.write_names(canvas, list(zip(ends, ends.values(), spots, sizes, strict=True)))


def between(start: Point, end: Point, step: float = 1.0) -> list[Point]:
    """Return points along a line, so many mm apart."""
    long = max(abs(end[0] - start[0]), abs(end[1] - start[1]))
    count = max(1, int(long / step))
    return [
        (start[0] + (end[0] - start[0]) * n / count, start[1] + (end[1] - start[1]) * n / count)
        for n in range(count + 1)
    ]


_KEY = (("solid", "on the Pareto front"), ("open", "beaten by another"))


def _sample(canvas: Canvas, x: float, y: float, kind: str) -> None:
    _mark(canvas, (x + 1.4, y), on_front=kind == "solid")


def _findings(found: Sequence[Tradeoff]) -> tuple[str, ...]:
    """Return what to see: where a chord costs least, what each costs, and who is beaten by whom."""
    full = [line[-1] for line in _lines(found)]
    beaten = [each for each in found if each.beaten_by]
    on = f"All {len(found)}" if not beaten else f"{len(found) - len(beaten)} of {len(found)}"
    front = f"{on} are on the Pareto front."
    said = [_cheapest(found[0], full), *(_costs(found[0], each) for each in full), front]
    said += [f"{each.name} is beaten by {each.beaten_by}." for each in beaten[:_TOLD]]
    return tuple(filter(None, said))


def _cheapest(plain: Tradeoff, full: Sequence[Tradeoff]) -> str:
    """Return in which offers an added chord costs least of the one and of the other."""
    adding = [each for each in full if each.added]
    if len(adding) < 2:
        return ""
    moves, hard = (
        min(adding, key=lambda each: (value(each) - value(plain)) / each.added).style
        for *_, value in _PANELS
    )
    if moves == hard:
        return f"An added chord takes the least extra movement and difficulty in {moves}."
    return (
        f"An added chord takes the least extra movement in {moves}, "
        f"the least extra difficulty in {hard}."
    )


def _costs(plain: Tradeoff, each: Tradeoff) -> str:
    """Return what an offer gives and takes in full, against the tune as written."""
    movement, difficulty = each.movement - plain.movement, each.difficulty - plain.difficulty
    part = each.added or 1.0
    price = (
        f"the voices {_more(movement / part, 'semitones a bar', 'more', 'less')} and makes the "
        f"shapes {_more(difficulty / part, 'points', 'harder', 'easier')}"
    )
    if not each.added:
        return f"{each.style} adds no chord; against {plain.style} it moves {price}."
    return f"{each.style} adds {each.added:g} chords in eight bars; each moves {price}."


def _more(value: float, unit: str, more: str, less: str) -> str:
    text = f"{abs(value):.1f}"
    return f"no {more}" if text == "0.0" else f"{text} {unit} {more if value > 0 else less}"
