"""The map of sixteen chords as a panel: a path from chord to chord, walked by ear.

Three layers: ``compute`` is a pure function of the state, ``draw`` a pure drawing of its
result, and ``CubePanel`` a thin view.

A walk goes along edges of the cube: between chords that differ in one note.
"""

from functools import lru_cache
from itertools import pairwise
from typing import ClassVar

from harmonykit.about.names import count, list_notes, note_of
from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.draw.sets import cube
from harmonykit.draw.tree import Part, Path, polyline
from harmonykit.errors import HarmonyError
from harmonykit.sound.chords import Pitches, close_pitches
from harmonykit.theory import alternation, diminished, spelling
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.values import dataclass
from harmonykit.workbook.base import scene as base
from harmonykit.workbook.base.panel import Choice, Panel, changed
from harmonykit.workbook.panels.distance_scene import box

CHORDS = tuple(chord.symbol for chord in diminished.diminished_sevenths())
LONGEST = 16


@dataclass(frozen=True, slots=True)
class CubeState:
    """What the panel's controls set.

    Parameters
    ----------
    chord : str
        The diminished seventh with which the sixteen alternate.
    walked : tuple of str
        The corners that were walked, each as the notes raised: ``"0110"``.
    """

    chord: str = "Cdim7"
    walked: tuple[str, ...] = ("0000",)

    def __post_init__(self) -> None:
        spelling.need_diminished(Chord.parse(self.chord))
        if not 1 <= len(self.walked) <= LONGEST:
            raise HarmonyError(f"a path of {len(self.walked)} corners", rule=f"1 to {LONGEST}")
        for corner in self.walked:
            if len(corner) != 4 or set(corner) - set("01"):
                raise HarmonyError(f"{corner!r} is not a corner", mend="0110")
        for one, other in pairwise(self.walked):
            if not cube.neighbours(one, other):
                raise HarmonyError(
                    f"no link from {one} to {other}",
                    rule="corners next to each other differ by one note",
                )


@dataclass(frozen=True, slots=True)
class Walk:
    """What a state comes to: the cube, and the chord of each corner by its name."""

    state: CubeState
    cube: alternation.Cube
    chords: dict[str, Chord]

    @property
    def here(self) -> Chord:
        """The chord that was reached."""
        return self.chords[self.state.walked[-1]]

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        walked = self.state.walked
        names = " – ".join(self.chords[corner].unicode for corner in walked)
        notes = list_notes(self.here.pcs, self.here)
        raised = f"{walked[-1].count('1')} of 4 notes raised"
        if len(walked) == 1:
            return f"A path begins at {names}: {notes}, {raised}; go on along a line"
        steps = count(len(walked) - 1, "semitone")
        before, after = self.chords[walked[-2]], self.here
        (old,), (new,) = before.pcs - after.pcs, after.pcs - before.pcs
        verb = "rises" if (new - old) % 12 == 1 else "falls"
        last = f"{note_of(old, before).unicode} {verb} to {note_of(new, after).unicode}"
        return f"{names}: {steps}, {last}; {self.here.unicode} is {notes}, {raised}"


def compute(state: CubeState) -> Walk:
    """Return what a state comes to.

    Examples
    --------
    >>> print(compute(CubeState("Cdim7", ("0000", "0001"))).facts)
    E°7 – C♯m7♭5: 1 semitone, B♭ rises to B; C♯m7♭5 is C♯, E, G and B, 1 of 4 notes raised
    """
    corners = alternation.alternation_cube(Chord.parse(state.chord))
    return Walk(state, corners, cube.chords_of(state.chord))


_BOX_MM = (19.0, 8.0)


@lru_cache(maxsize=1)
def scene() -> base.Scene:
    """Return the picture that is drawn once: edges and places."""
    canvas = Canvas(cube.WIDE_MM, cube.HIGH_MM + cube.FOOT_MM)
    canvas.lines([[cube.corner_at(a), cube.corner_at(b)] for a, b in cube.EDGES], 0.2)
    cube.write_columns(canvas)
    wide, tall = _BOX_MM
    spots = tuple(
        base.Spot(f"corner-{corner}", *cube.corner_at(corner), point=11.0, across=wide, tall=tall)
        for corner in cube.CORNERS
    )
    return base.Scene(
        cube.WIDE_MM,
        cube.HIGH_MM + cube.FOOT_MM,
        canvas.parts,
        spots,
        (base.Line("walked", 0.9),),
        _marks(),
        "the map of sixteen chords",
    )


def _marks() -> dict[str, tuple[Part, ...]]:
    wide, tall = _BOX_MM
    plain: dict[str, tuple[Part, ...]] = {
        "ringed": (box(wide, tall, "paper", 0.35), box(wide - 1.4, tall - 1.4, "ink", 0.04)),
        "solid": (box(wide, tall, "ink", 0.35),),
        "open-bold": (box(wide, tall, "paper", 0.56),),
        "open": (box(wide, tall, "paper", 0.25),),
        "dashed": (box(wide, tall, "paper", 0.28, (1.06, 0.7)),),
    }
    here = _here(wide + 2.4, tall + 2.4)
    return plain | {f"{kind}{base.HERE}": (*mark, here) for kind, mark in plain.items()}


def _here(wide: float, tall: float) -> Path:
    """Return corners about a box: where the walk has come."""
    x, y, arm = wide / 2, tall / 2, 2.1
    corners = [
        polyline([(sx * (x - arm), sy * y), (sx * x, sy * y), (sx * x, sy * (y - arm))])
        for sx in (-1, 1)
        for sy in (-1, 1)
    ]
    return Path(base.joined(corners), stroke="ink", width=0.7)


def show(result: Walk) -> base.Shown:
    """Return how the parts of the picture look."""
    walked, looks = result.state.walked, {}
    for corner, chord in result.chords.items():
        here = corner == walked[-1]
        kind = cube.KINDS[chord.quality]
        near = ", one note away" if cube.neighbours(corner, walked[-1]) else ""
        said = f"{chord.unicode}{', reached' if here else near}"
        role = f"{kind}{base.HERE}" if here else kind
        looks[f"corner-{corner}"] = base.Look(role, chord.unicode, said, corner in walked)
    steps = base.joined(
        polyline([cube.corner_at(a), cube.corner_at(b)]) for a, b in pairwise(walked)
    )
    return base.Shown(looks, {"walked": steps}, result.facts)


def draw(result: Walk) -> Drawing:
    """Draw a result as a still picture."""
    return scene().still(show(result))


class CubePanel(Panel[CubeState]):
    """The sixteen chords between two diminished sevenths: press one to go there.

    A chord next to the one that was reached is the next step; from any other a new walk begins.

    Parameters
    ----------
    chord : Chord or str
        The diminished seventh that lies between the two.

    Examples
    --------
    >>> panel = hk.workbook.CubePanel("Bdim7")
    >>> panel.press("corner-1000")
    >>> panel.press("corner-1100")
    >>> [panel.state.walked, panel.choice.chord]
    [('0000', '1000', '1100'), Chord.parse('Am7')]
    """

    kind: ClassVar[str] = "cube"
    title: ClassVar[str] = "the map of sixteen chords"

    def __init__(self, chord: Chord | str = "Cdim7") -> None:
        read = Chord.parse(chord) if isinstance(chord, str) else chord
        super().__init__(CubeState(read.symbol))

    @classmethod
    def _blank(cls) -> CubeState:
        return CubeState()

    def _scene(self, _state: CubeState) -> base.Scene:
        return scene()

    def _shown(self, state: CubeState) -> base.Shown:
        return show(compute(state))

    def _controls(self, state: CubeState) -> tuple[base.Control, ...]:
        chords = base.with_own(state.chord, CHORDS)
        printed = tuple(Chord.parse(each).unicode for each in chords)
        return (
            base.Control(
                "chord", "choice", "alternates with", state.chord, chords, printed=printed
            ),
            base.Control("back", "button", "Step back"),
            base.Control("clear", "button", "Start here"),
        )

    def _after_press(self, state: CubeState, part: str) -> CubeState:
        corner = part.removeprefix("corner-")
        if corner == state.walked[-1]:
            return state
        if not cube.neighbours(corner, state.walked[-1]):
            return changed(state, walked=(corner,))
        return changed(state, walked=(*state.walked, corner)[-LONGEST:])

    def _unmoved(self, asked: str) -> str:
        """Say that the walk is there already, or has no step to take back."""
        if not asked.startswith("corner-"):
            return f"{compute(self._state).here.unicode} is the only chord of the path"
        name = compute(self._state).here.unicode
        return f"{name} is where you are; press a chord that a line joins to it"

    def _after_set(self, state: CubeState, control: str, value: base.Value) -> CubeState:
        if control == "chord":
            return CubeState(str(value))
        if control == "back":
            return changed(state, walked=state.walked[:-1] or state.walked)
        return changed(state, walked=state.walked[-1:])

    def _chords(self, state: CubeState) -> tuple[Pitches, ...]:
        result = compute(state)
        return tuple(_as_heard(result.chords[corner].pcs) for corner in state.walked)

    def _choice(self, state: CubeState) -> Choice:
        chord = compute(state).here
        return Choice(chord.pcs, chord)

    def _after_choice(self, state: CubeState, choice: Choice) -> CubeState:
        for symbol in (state.chord, *CHORDS):
            found = [c for c, chord in cube.chords_of(symbol).items() if chord.pcs == choice.notes]
            if found and symbol == state.chord:
                return self._after_press(state, f"corner-{found[0]}")
            if found:
                return CubeState(symbol, (found[0],))
        return state


def _as_heard(pcs: PcSet) -> Pitches:
    """Return a chord close above G3, so that one note alone moves along an edge."""
    return close_pitches(sorted(pcs, key=lambda pc: (pc - 7) % 12), 55)
