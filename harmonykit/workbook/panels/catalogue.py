"""The catalogue: the 224 set classes, filtered; one that is picked is seen on clock and neck.

A class passes by its size, its interval vector, its symmetry, and by inclusion: whether some form
of it holds given notes, or lies within given notes.

Three layers: ``compute`` is a pure function of the state, ``draw`` a pure drawing of its
result, and ``CataloguePanel`` a thin view.
"""

from functools import lru_cache
from typing import ClassVar

from harmonykit.about.names import chord_of
from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.sound.chords import Pitches, close_pitches
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.sets.setclass import SetClass, set_classes
from harmonykit.workbook.base.panel import Choice, Panel, changed
from harmonykit.workbook.base.scene import Control, Look, Scene, Shown, Spot, Value
from harmonykit.workbook.panels import catalogue_filter, distance_scene, scenes
from harmonykit.workbook.panels.catalogue_filter import CatalogueState, Found
from harmonykit.workbook.panels.neck import choose_neck, shapes_of
from harmonykit.workbook.panels.scenes import NECK_LINES, WIDE_MM, Neck

_IN_A_ROW, _CELL_MM, _ROW_MM, _LEFT_MM = 25, 6.5, 5.4, 10.0
_GAP_MM = 3.0
_LINES = 6


@lru_cache(maxsize=1)
def _rows() -> tuple[tuple[SetClass, int, int], ...]:
    """Return each class with its row and its place in it: a size begins a row of its own."""
    placed, row, last, across = [], -1, -1, 0
    for each in set_classes():
        across = 0 if each.size != last else across + 1
        row += across % _IN_A_ROW == 0
        last = each.size
        placed.append((each, row, across % _IN_A_ROW))
    return tuple(placed)


def _grid_high() -> float:
    return (_rows()[-1][1] + 1) * _ROW_MM + _GAP_MM


@lru_cache(maxsize=8)
def scene(instrument: str) -> Scene:
    """Return the picture that is drawn once for an instrument."""
    top = _grid_high()
    neck = _neck(instrument)
    tall = top + scenes.SIDE_MM + _GAP_MM + neck.high
    canvas = Canvas(WIDE_MM, tall)
    scenes.ring(canvas, (0.0, top))
    neck.draw(canvas)
    cells = []
    for each, row, column in _rows():
        x, y = _LEFT_MM + (column + 0.5) * _CELL_MM, (row + 0.5) * _ROW_MM
        part = f"class-{each.forte_name}"
        cells.append(Spot(part, x, y, 4.0, 8.5, across=_CELL_MM - 0.2, tall=_ROW_MM - 0.2))
        if column == 0 and each.forte_name.endswith("-1"):
            canvas.letter(6.5, y, str(each.size), 10.0, weight=SEMIBOLD, anchor="right")
    lines = tuple(
        Spot(f"line-{n + 1}", 92.0, top + 14.0 + 8.0 * n, point=11.0, anchor="start", press=False)
        for n in range(_LINES)
    )
    return Scene(
        WIDE_MM,
        tall,
        canvas.parts,
        (
            *cells,
            *scenes.clock_spots((0.0, top), press=False),
            *neck.spots(press=False),
            *lines,
        ),
        (*scenes.CLOCK_LINES, *NECK_LINES),
        {"class-picked": (distance_scene.box(_CELL_MM - 0.3, _ROW_MM - 0.5, "ink", 0.04),)},
        "the catalogue of set classes",
    )


def _neck(instrument: str) -> Neck:
    corner = (0.0, _grid_high() + scenes.SIDE_MM + _GAP_MM)
    return Neck(Instrument.named(instrument), corner)


def show(result: Found) -> Shown:
    """Return how the parts of the picture look."""
    looks = {f"class-{each.forte_name}": _cell(each, result) for each, _, _ in _rows()}
    state, neck, chord = result.state, _neck(result.state.instrument), chord_of(result.notes)
    shapes = shapes_of(result.notes, "", state.instrument)
    shape = shapes[0] if shapes else None
    looks |= scenes.clock_looks(result.notes, chord)
    looks |= neck.looks(result.notes, chord, shape)
    for n, line in enumerate(result.lines):
        looks[f"line-{n + 1}"] = Look("none" if n == 0 else "plain", line)
    top = (0.0, _grid_high())
    courses = scenes.clock_courses(result.notes, axes=True, corner=top) | neck.courses(shape)
    return Shown(looks, courses, result.facts, result.passed)


def _cell(each: SetClass, result: Found) -> Look:
    picked, passes = each == result.picked, each.forte_name in result.passing
    number = each.forte_name.split("-")[1]
    role = "class-picked" if picked else "plain" if passes else "off"
    said = f"{each.forte_name}{'' if passes else ', filtered out'}"
    return Look(role, number if picked or passes else "·", said, picked)


def draw(result: Found) -> Drawing:
    """Draw a result as a still picture."""
    return scene(result.state.instrument).still(show(result))


class CataloguePanel(Panel[CatalogueState]):
    """The 224 set classes: filter them, pick one, see it on clock and neck, hear it.

    Parameters
    ----------
    picked : str, Chord or PcSet
        Forte's name, or notes whose class is meant.

    Examples
    --------
    >>> panel = hk.workbook.CataloguePanel("4-27")
    >>> panel.set("vector", "0 0 4 0 0 2")
    >>> panel.press("class-4-28")
    >>> print(panel.facts.split("; ")[:2])
    ['1 of 224 classes passes', '4-28: prime form 0369']
    """

    kind: ClassVar[str] = "catalogue"
    title: ClassVar[str] = "the catalogue of set classes"

    def __init__(self, picked: str | Chord | PcSet = "4-28") -> None:
        named = SetClass.named(picked) if isinstance(picked, str) else SetClass.of(picked)
        super().__init__(CatalogueState(named.forte_name))

    @classmethod
    def _blank(cls) -> CatalogueState:
        return CatalogueState()

    def _scene(self, state: CatalogueState) -> Scene:
        return scene(state.instrument)

    def _shown(self, state: CatalogueState) -> Shown:
        return show(catalogue_filter.compute(state))

    def _controls(self, state: CatalogueState) -> tuple[Control, ...]:
        return (
            Control("size", "choice", "notes", state.size, catalogue_filter.SIZES),
            Control("symmetry", "choice", "symmetry", state.symmetry, catalogue_filter.SYMMETRIES),
            Control("vector", "text", "vector", state.vector),
            Control("holds", "text", "holds a chord", state.holds),
            Control("within", "text", "within a scale", state.within),
            Control("down", "button", "Transpose down a half step"),
            Control("up", "button", "Transpose up a half step"),
            choose_neck(state.instrument),
        )

    def _after_press(self, state: CatalogueState, part: str) -> CatalogueState:
        return changed(state, picked=part.removeprefix("class-"), turn=0)

    def _unmoved(self, asked: str) -> str:
        """Say that a class is shown already."""
        return f"{asked.removeprefix('class-')} is the class that you see below"

    def _after_set(self, state: CatalogueState, control: str, value: Value) -> CatalogueState:
        if control in ("up", "down"):
            return changed(state, turn=(state.turn + (1 if control == "up" else -1)) % 12)
        return changed(state, **{control: str(value).strip()})

    def _chords(self, state: CatalogueState) -> tuple[Pitches, ...]:
        notes = catalogue_filter.compute(state).notes
        return (close_pitches(list(notes)),) if notes else ()

    def _choice(self, state: CatalogueState) -> Choice:
        notes = catalogue_filter.compute(state).notes
        return Choice(notes, chord_of(notes))

    def _after_choice(self, state: CatalogueState, choice: Choice) -> CatalogueState:
        """Pick the class of the notes; their own form is seen where it is a turn of the prime."""
        named = SetClass.of(choice.notes)
        prime = PcSet.of(*named.prime_form)
        turns = [n for n in range(12) if prime.transpose(n) == choice.notes]
        return changed(state, picked=named.forte_name, turn=turns[0] if turns else 0)
