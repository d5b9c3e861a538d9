"""The voices of an arrangement as lines through its bars, and under them how far they move.

Conventions.  Height is pitch: a thin line is a voice that keeps its note, a thick one a voice that
goes to another; which goes where is as the distance counts it, from the lowest pitch up.  Under the
voices stands the lane of ``distances``: a stem a change, as high as the semitones of all voices.
Bars are numbered as played.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.movement import Movement, movements
from harmonykit.draw.base.canvas import SCREEN_MM, SMALL_PT, Canvas, Drawing
from harmonykit.draw.base.given import spoken_symbol
from harmonykit.draw.plots import distances
from harmonykit.draw.plots.distances import Lane
from harmonykit.draw.plots.frame import SIDE_MM, Foot, check_width
from harmonykit.draw.plots.systems import NAME_MM, System, draw_bar_lines, draw_numbers, lay_out
from harmonykit.errors import HarmonyError
from harmonykit.theory.leading.staircase import voice_pairs
from harmonykit.words.numbers import counted

_LEFT_MM, _GAP_MM, _BELOW_MM, _EDGE_MM = 7.0, 1.0, 2.5, 1.6
_SEMITONE_MM, _TALLEST_MM = 1.5, 30.0
_KEEP_MM, _GO_MM, _TURN_MM, _NOTE_MM = 0.3, 0.8, 2.4, 1.2


def draw_leading(
    arrangement: Arrangement,
    *,
    bars: tuple[int, int] | None = None,
    width_mm: float = SCREEN_MM,
    palette: str = "colour",
) -> Drawing:
    """Draw how each voice goes through an arrangement, and how far all of them move together.

    Parameters
    ----------
    arrangement : Arrangement
    bars : (int, int), optional
        The first and the last bar, counted as played; all where not given.
    width_mm : float, optional
        How wide the figure is; a telephone has room for 90 mm.
    palette : str, optional
        Colours: ``"colour"``, ``"print"``, ``"one ink"`` or another of the palettes.

    Returns
    -------
    Drawing
        Its foot and its words for the ear say what to see.

    Raises
    ------
    HarmonyError
        If nothing sounds in these bars, the tune does not have them, or the figure is narrower
        than 90 mm.

    Examples
    --------
    >>> (way,) = hk.reharmonise("slack_water_waltz", "ukulele", k=1, wishes=hk.Wishes(name="usual"))
    >>> hk.draw.leading(way, bars=(1, 8)).alt.split(":")[0]
    'usual'
    """
    check_width(width_mm)
    layout = lay_out([arrangement], bars, _LEFT_MM, width_mm - SIDE_MM)
    moved = distances.within(movements(arrangement), layout.systems)
    label = arrangement.name or arrangement.tune.title
    lane = Lane(arrangement, label, moved)
    pitches = _Pitches.of(arrangement, layout.systems)
    unit, together = distances.unit_of([lane]), _together(moved)
    foot = Foot(width_mm, [*distances.findings([lane]), *together], distances.KEY, distances.sample)
    high = distances.NUMBER_MM + pitches.high + _GAP_MM + lane.high(unit) + _BELOW_MM
    highs = [high + NAME_MM * rows for (rows,) in layout.rows]
    canvas = Canvas(width_mm, sum(highs) + foot.high, palette)
    for line, system in enumerate(layout.systems):
        top = sum(highs[:line])
        draw_numbers(canvas, system, arrangement, top)
        with canvas.group(f"voices-{line + 1}"):
            pitches.draw(canvas, arrangement, system, top + distances.NUMBER_MM)
        with canvas.group(f"distances-{line + 1}"):
            lane.draw(canvas, system, top + distances.NUMBER_MM + pitches.high + _GAP_MM, unit)
    foot.draw(canvas, canvas.height - foot.high)
    said = [*distances.findings([lane], spoken_symbol), *together]
    return canvas.drawing("voice leading", " ".join(said))


def _together(moved: Sequence[Movement]) -> tuple[str, ...]:
    """Return what the voices do together: whether one stays, whether all go one way."""
    if not moved:
        return ()
    ways = [[high - low for low, high in each.voices] for each in moved]
    stays = sum(0 in each for each in ways)
    one_way = sum(min(each) > 0 or max(each) < 0 for each in ways)
    return (
        f"In {stays} of {counted(len(ways), 'change')} a voice stays; "
        f"in {one_way} all voices move in the same direction.",
    )


class _Pitches:
    """Where pitches stand: so many mm a semitone, from the highest down."""

    def __init__(self, low: int, high: int) -> None:
        self.low, self.top = low, high
        self.step = min(_SEMITONE_MM, _TALLEST_MM / max(1, high - low))
        self.high = 2 * _EDGE_MM + (high - low) * self.step

    @classmethod
    def of(cls, way: Arrangement, systems: Sequence[System]) -> _Pitches:
        """Return the places of all pitches in some lines."""
        steps = [s for s in way.steps if any(system.holds(s.onset) for system in systems)]
        sounds = [pitch for step in steps for pitch in step.sounds]
        if not sounds:
            raise HarmonyError("no chord sounds in these bars", mend="choose other bars")
        return cls(min(sounds), max(sounds))

    def y(self, pitch: int) -> float:
        """How far down a pitch stands."""
        return _EDGE_MM + (self.top - pitch) * self.step

    def draw(self, canvas: Canvas, way: Arrangement, system: System, top: float) -> None:
        """Draw the voices of a line."""
        draw_bar_lines(canvas, system, top, top + self.high)
        for octave in range(self.low // 12 + (self.low % 12 > 0), self.top // 12 + 1):
            y = top + self.y(12 * octave)
            canvas.lines([[(system.left, y), (system.right, y)]], 0.15, colour="hair")
            name = f"C{octave - 1}"
            canvas.letter(system.left - 1.2, y, name, SMALL_PT, colour="soft", anchor="right")
        held = [*_held(way, system)]
        for (sounds, start, end), after in zip(held, [*held[1:], None], strict=True):
            goes = after is not None and bool(after[0]) and bool(sounds)
            x, right = system.at(start), system.at(end)
            turn = min(_TURN_MM, (right - x) / 2) if goes else 0.0
            for pitch in dict.fromkeys(sounds):
                y = top + self.y(pitch)
                canvas.lines([[(x, y), (right - turn, y)]], _KEEP_MM)
                canvas.circle(x, y, _NOTE_MM, fill="ink")
            if goes and after is not None:
                self._turns(canvas, sounds, after[0], (right - turn, right, top))

    def _turns(
        self,
        canvas: Canvas,
        before: tuple[int, ...],
        after: tuple[int, ...],
        where: tuple[float, float, float],
    ) -> None:
        left, right, top = where
        for start, end in dict.fromkeys(voice_pairs(before, after)):
            ends = [(left, top + self.y(start)), (right, top + self.y(end))]
            canvas.lines([ends], _KEEP_MM if start == end else _GO_MM, cap="round")


def _held(way: Arrangement, system: System) -> Iterator[tuple[tuple[int, ...], Fraction, Fraction]]:
    """Yield what sounds in a line: the pitches, from when to when, as long as a shape is held."""
    steps = (step for step in way.steps if system.holds(step.onset))
    for _, group in groupby(steps, key=lambda step: step.voicing):
        run = [*group]
        yield run[0].sounds, run[0].onset, run[-1].onset + run[-1].beats
