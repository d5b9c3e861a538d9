"""How far the voices move at each change of a tune, for several arrangements of it.

Conventions.  Lines of bars as in music, the arrangements over each other, all on one scale.  A stem
stands at a change; it is as high as the semitones that all voices move there, and the figure over
it says how many.  Its head is solid where it leads to an added chord, open where the chord is the
tune's own.  A tick on the stem is the least that the notes of the two shapes ask for, in whatever
octaves; the dashed line is the arrangement's own mean.  Bars are numbered as played.
"""

from collections.abc import Callable, Iterable, Sequence

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.movement import Movement, mean_semitones, movements
from harmonykit.draw.base.canvas import SCREEN_MM, SMALL_PT, THIN_MM, Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD, text_width
from harmonykit.draw.base.given import spoken_symbol
from harmonykit.draw.plots import systems as paper
from harmonykit.draw.plots.frame import SIDE_MM, Foot, check_width
from harmonykit.draw.plots.systems import System
from harmonykit.errors import HarmonyError
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted, join_words

HIGH_MM, OVER_MM, NUMBER_MM = 13.0, 5.6, 4.0
_LABEL_MM, _BELOW_MM, _TICK_MM = 5.0, 2.0, 1.7
_MOST_MM, _MOST_TOLD = 2.4, 6


def draw_distances(
    arrangements: Sequence[Arrangement],
    *,
    names: Sequence[str] = (),
    bars: tuple[int, int] | None = None,
    width_mm: float = SCREEN_MM,
    palette: str = "colour",
) -> Drawing:
    """Draw how far the voices move at each change of one tune, for each arrangement.

    Parameters
    ----------
    arrangements : sequence of Arrangement
        In the order in which they are drawn.
    names : sequence of str, optional
        What each is called; its own name where not given.
    bars : (int, int), optional
        The first and the last bar, counted as played; all where not given.
    width_mm : float, optional
        How wide the figure is; a telephone has room for 90 mm.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing
        Its foot and its words for the ear say what to see: the mean of each, the farthest change.

    Raises
    ------
    HarmonyError
        For no arrangement, arrangements of tunes of several lengths, bars that the tune does not
        have, or a figure narrower than 90 mm.

    Examples
    --------
    >>> tune = hk.read_tune("slack_water_waltz")
    >>> ways = hk.reharmonise(tune, "ukulele", (), k=1, wishes=hk.Wishes(name="as written"))
    >>> print(hk.draw.distances(ways).alt.split(":")[0])
    as written
    """
    if len({len(way.tune.playing) for way in arrangements}) != 1:
        raise HarmonyError(
            f"{len(arrangements)} arrangements to compare bar by bar",
            rule="one or more, all of one tune",
        )
    check_width(width_mm)
    labels = list(names) or [way.name or str(n) for n, way in enumerate(arrangements, 1)]
    layout = paper.lay_out(arrangements, bars, SIDE_MM, width_mm - SIDE_MM)
    lanes = [
        Lane(way, label, within(movements(way), layout.systems))
        for way, label in zip(arrangements, labels, strict=True)
    ]
    unit = unit_of(lanes)
    foot = Foot(width_mm, findings(lanes), KEY, sample)
    ups = [_LABEL_MM + lane.high(unit) + _BELOW_MM for lane in lanes]
    highs = [NUMBER_MM + sum(ups) + paper.NAME_MM * sum(rows) for rows in layout.rows]
    canvas = Canvas(width_mm, sum(highs) + foot.high, palette)
    for line, (system, rows) in enumerate(zip(layout.systems, layout.rows, strict=True)):
        top = sum(highs[:line])
        paper.draw_numbers(canvas, system, arrangements[0], top)
        top += NUMBER_MM
        for place, (lane, up, row) in enumerate(zip(lanes, ups, rows, strict=True), 1):
            with canvas.group(f"arrangement-{place}-line-{line + 1}"):
                said = lane.head if line == 0 else lane.label
                canvas.text(SIDE_MM, top + 3.6, said, SMALL_PT, weight=SEMIBOLD, anchor="left")
                lane.draw(canvas, system, top + _LABEL_MM, unit)
            top += up + paper.NAME_MM * row
    foot.draw(canvas, canvas.height - foot.high)
    return canvas.drawing("semitones per change", " ".join(findings(lanes, spoken_symbol)))


def within(moved: Iterable[Movement], systems: Sequence[System]) -> tuple[Movement, ...]:
    """Return the changes that begin in some lines."""
    return tuple(each for each in moved if any(s.holds(each.after.onset) for s in systems))


@dataclass(frozen=True, slots=True)
class Lane:
    """An arrangement, what it is called, and its changes."""

    way: Arrangement
    label: str
    moved: tuple[Movement, ...]

    @property
    def mean(self) -> float:
        """Semitones a change."""
        return mean_semitones(self.moved)

    @property
    def total(self) -> int:
        """Semitones of all changes."""
        return sum(each.semitones for each in self.moved)

    @property
    def head(self) -> str:
        """What stands over it."""
        return f"{self.label}: {self.mean:.1f} semitones a change, {self.total} in all"

    @property
    def farthest(self) -> Movement | None:
        """The change at which the voices move most; of equals the first."""
        return max(self.moved, key=lambda each: each.semitones, default=None)

    def high(self, unit: float) -> float:
        """How high it is without its names: figures and stems."""
        highest = max((each.semitones for each in self.moved), default=0)
        return OVER_MM + highest * unit + 1.0

    def draw(self, canvas: Canvas, system: System, top: float, unit: float) -> None:
        """Draw a line of it: the mean, stems with heads, names."""
        ground = top + self.high(unit) - 1.0
        paper.draw_bar_lines(canvas, system, top, ground)
        canvas.lines([[(system.left, ground), (system.right, ground)]], THIN_MM)
        y = ground - self.mean * unit
        canvas.lines([[(system.left, y), (system.right, y)]], 0.22, colour="soft", dash=(1.2, 1.0))
        for each in self.moved:
            if system.holds(each.after.onset):
                draw_stem(canvas, each, system.at(each.after.onset), ground, unit)
        paper.draw_names(canvas, self.way, system, ground + 1.0)


def unit_of(lanes: Sequence[Lane]) -> float:
    """Return how high a semitone is, in mm."""
    highest = max((each.semitones for lane in lanes for each in lane.moved), default=1)
    return min(_MOST_MM, HIGH_MM / max(1, highest))


def draw_stem(canvas: Canvas, moved: Movement, x: float, ground: float, unit: float) -> None:
    """Draw a change: its stem with a head, the least as a tick, the semitones over it."""
    y = ground - moved.semitones * unit
    canvas.lines([[(x, ground), (x, y)]], 0.5)
    least = ground - moved.least * unit
    if moved.least < moved.semitones:
        canvas.lines([[(x - _TICK_MM / 2, least), (x + _TICK_MM / 2, least)]], 0.5)
    draw_head(canvas, x, y, added=moved.added)
    text = str(moved.semitones)
    wide = text_width(text, SMALL_PT)
    # Nothing runs through a figure: the mean's line is broken under it.
    canvas.rectangle(x - wide / 2 - 0.3, y - 4.4, wide + 0.6, 2.9, "paper")
    canvas.text(x, y - 1.8, text, SMALL_PT)


def draw_head(canvas: Canvas, x: float, y: float, *, added: bool) -> None:
    """Draw the head of a stem: solid where a chord is added."""
    fill = "ink" if added else "paper"
    canvas.circle(x, y, paper.HEAD_MM - 0.4, fill=fill, stroke="ink", width=0.4)


def findings(lanes: Sequence[Lane], say: Callable[[str], str] = str) -> tuple[str, ...]:
    """Return what to see: of each arrangement, and how each differs from the first.

    Parameters
    ----------
    lanes : sequence of Lane
    say : callable
        How a chord's name is said.
    """
    said = [_finding(lane, say) for lane in lanes]
    return (*said, *(_difference(lanes[0], lane) for lane in lanes[1:]))


def _finding(lane: Lane, say: Callable[[str], str]) -> str:
    far = lane.farthest
    if far is None:
        return f"{lane.label}: the hand keeps one shape throughout."
    here, there = (
        say(step.chord.unicode if step.chord else "") for step in (far.before, far.after)
    )
    head = (
        f"{lane.label}: {counted(len(lane.moved), 'change')}, {lane.mean:.1f} semitones on "
        f"average; the farthest, {here} to {there} {_place(lane, far)}, is {far.semitones}."
    )
    wider = [each for each in lane.moved if each.semitones > each.least]
    if not wider:
        return f"{head} The voices never move farther than the chords need."
    over = counted(sum(each.semitones - each.least for each in wider), "semitone")
    together = " together" * (len(wider) > 1)
    return (
        f"{head} At {len(wider)} of them the voices move farther than the chords need, by "
        f"{over}{together}: "
        f"{_bars([each.number for each in wider])}."
    )


def _place(lane: Lane, moved: Movement) -> str:
    """Return whether a change leads over a bar line or lies within a bar, and the bar's number."""
    within = moved.after.onset > lane.way.tune.playing[moved.after.bar].onset
    return f"{'in' if within else 'into'} bar {moved.number}"


def _bars(numbers: Sequence[int]) -> str:
    """Return bars in words; of many the first."""
    each = [*dict.fromkeys(numbers)]
    said = [str(number) for number in each[:_MOST_TOLD]]
    more = len(each) - len(said)
    said += [f"{more} more"] if more else []
    return f"bar{'s' * (len(each) > 1)} {join_words(said)}"


def _difference(one: Lane, other: Lane) -> str:
    """Return how two arrangements differ: by the changes, by the mean, by the sum."""
    changes, more = len(other.moved) - len(one.moved), other.total - one.total
    each = round(other.mean, 1) - round(one.mean, 1)
    far = "smaller" if each < 0 else "larger"
    mean = (
        f"each {abs(each):.1f} semitones {far} on average"
        if abs(each) > 0.05
        else "each as large on average"
    )
    return (
        f"{other.label} has {_more(changes, 'change')} than {one.label}, {mean}: "
        f"{_more(more, 'semitone')} in all."
    ).replace("as many changes than", "as many changes as")


def _more(count: int, what: str) -> str:
    if not count:
        return f"as many {what}s"
    return counted(abs(count), f"{'more' if count > 0 else 'fewer'} {what}")


KEY = (
    ("open", "to a chord as written"),
    ("solid", "to an added chord"),
    ("tick", "the least possible"),
    ("mean", "mean"),
)


def sample(canvas: Canvas, x: float, y: float, kind: str) -> None:
    """Draw the sample of a kind in the key."""
    if kind == "mean":
        canvas.lines([[(x, y), (x + 3.2, y)]], 0.22, colour="soft", dash=(1.2, 1.0))
    elif kind == "tick":
        canvas.lines([[(x + 1.4, y - 1.5), (x + 1.4, y + 1.5)]], 0.5)
        canvas.lines([[(x + 1.4 - _TICK_MM / 2, y), (x + 1.4 + _TICK_MM / 2, y)]], 0.5)
    else:
        draw_head(canvas, x + 1.4, y, added=kind == "solid")
