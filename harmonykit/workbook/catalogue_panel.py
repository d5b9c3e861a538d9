"""The catalogue: the 224 set classes, filtered; one that is picked is seen on clock and neck.

A class passes by its size, its interval vector, its symmetry, and by inclusion: whether some form
of it holds given notes, or lies within given notes.

Three layers: :func:`compute` is a pure function of the state, :func:`draw` a pure drawing of its
result, and :class:`CataloguePanel` a thin view.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument
from harmonykit.show.canvas import Canvas
from harmonykit.show.style import SEMIBOLD, Drawing, join_words
from harmonykit.theory.chord import Chord
from harmonykit.theory.operation import forms
from harmonykit.theory.pcset import PcSet, set_classes
from harmonykit.theory.setclass import SetClass
from harmonykit.workbook.clock_scene import (
    CLOCK_LINES,
    SIDE_MM,
    clock_courses,
    clock_looks,
    clock_spots,
    ring,
)
from harmonykit.workbook.distance_scene import box
from harmonykit.workbook.names import chord_names, chord_of, count, digits, list_notes
from harmonykit.workbook.neck_panel import INSTRUMENTS, shapes_of
from harmonykit.workbook.neck_scene import NECK_LINES, WIDE_MM, Neck
from harmonykit.workbook.panel import Choice, Control, Panel, Value, changed
from harmonykit.workbook.scene import Look, Scene, Shown, Spot, background
from harmonykit.workbook.sounds import Pitches, close_pitches

ANY = "any"
SYMMETRIES = (ANY, "turns", "mirrors", "turns or mirrors", "none")
SIZES = (ANY, *map(str, range(13)))
_IN_A_ROW, _CELL_MM, _ROW_MM, _LEFT_MM = 25, 6.5, 5.4, 10.0
_GAP_MM = 3.0
# An entry is a number or a dot; written without spaces, each is one figure.
_ENTRY = re.compile(r"\d+|\.")
_LINES = 6


@dataclass(frozen=True, slots=True)
class CatalogueState:
    """What the panel's controls set.

    Parameters
    ----------
    picked : str
        Forte's name.
    size : str
        ``"any"``, or a number of notes.
    vector : str
        Six entries, a dot where any number will do; nothing for any vector.
    symmetry : str
        One of ``SYMMETRIES``.
    holds, within : str
        Notes as a chord's symbol or as digits (``0369``); nothing for any.
    turn : int in 0..11
        By how much the prime form is transposed where it is seen.
    instrument : str
    """

    picked: str = "4-28"
    size: str = ANY
    vector: str = ""
    symmetry: str = ANY
    holds: str = ""
    within: str = ""
    turn: int = 0
    instrument: str = "ukulele"

    def __post_init__(self) -> None:
        SetClass.named(self.picked)
        for value, values in ((self.size, SIZES), (self.symmetry, SYMMETRIES)):
            if value not in values:
                raise HarmonyError(f"{value!r} is no choice", mend=", ".join(values))
        if self.instrument not in INSTRUMENTS:
            raise HarmonyError(f"no neck for {self.instrument!r}", mend=", ".join(INSTRUMENTS))
        if not 0 <= self.turn <= 11:
            raise HarmonyError(f"a turn of {self.turn}", rule="0 to 11 semitones")
        entries(self.vector)
        for text in (self.holds, self.within):
            read_set(text)


def entries(vector: str) -> tuple[int | None, ...]:
    """Return the entries of a vector that is asked for, ``None`` where any number will do.

    Raises
    ------
    HarmonyError
        If there are not six.

    Examples
    --------
    >>> entries("0 0 4 0 0 2"), entries("..4..."), entries("")
    ((0, 0, 4, 0, 0, 2), (None, None, 4, None, None, None), ())
    """
    words = vector.replace(",", " ").split()
    parts = list(words[0]) if len(words) == 1 else words
    if parts and (len(parts) != 6 or not all(_ENTRY.fullmatch(part) for part in parts)):
        raise HarmonyError(
            f"{vector!r} is no interval vector",
            rule="six numbers, or a dot where any will do",
            mend="0 0 4 0 0 2 or ..4...",
        )
    return tuple(None if part == "." else int(part) for part in parts)


@lru_cache(maxsize=256)
def read_set(text: str) -> PcSet:
    """Return notes that are given as digits or as a chord's symbol.

    Examples
    --------
    >>> read_set("0369"), read_set("C7")
    (PcSet.of(0, 3, 6, 9), PcSet.of(0, 4, 7, 10))
    """
    try:
        return PcSet.parse(text)
    except HarmonyError:
        return Chord.parse(text).pcs


@dataclass(frozen=True, slots=True)
class Found:
    """What a state comes to: the class picked, the notes seen, and the classes that pass."""

    state: CatalogueState
    picked: SetClass
    notes: PcSet
    passing: frozenset[str]

    @property
    def lines(self) -> tuple[str, ...]:
        """What is said of the class beside the clock."""
        turns, mirrors = self.picked.symmetry
        prime = str(PcSet.of(*self.picked.prime_form)) or "no notes"
        partner = (
            f"; shares its vector with {self.picked.z_partner}" if self.picked.z_partner else ""
        )
        names = join_words(list(chord_names(self.notes))) or "no chord's name"
        return (
            f"{self.picked.forte_name}: prime form {prime}",
            f"vector {digits(self.picked.interval_vector)}{partner}",
            f"{count(turns, 'turn')} and {count(mirrors, 'mirror')} keep it",
            f"{len(self.picked.members)} different forms; complement {self.picked.complement}",
            list_notes(self.notes),
            names,
        )

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        passing = len(self.passing)
        verb = "passes" if passing == 1 else "pass"
        return f"{passing} of {len(set_classes())} classes {verb}; {'; '.join(self.lines)}"


def compute(state: CatalogueState) -> Found:
    """Return what a state comes to.

    Examples
    --------
    >>> result = compute(CatalogueState(size="4", symmetry="turns"))
    >>> sorted(result.passing), result.lines[0]
    (['4-25', '4-28', '4-9'], '4-28: prime form 0369')
    """
    picked = SetClass.named(state.picked)
    notes = PcSet.of(*picked.prime_form).transpose(state.turn)
    passing = _passing(state.size, state.vector, state.symmetry, state.holds, state.within)
    return Found(state, picked, notes, passing)


@lru_cache(maxsize=128)
def _passing(size: str, vector: str, symmetry: str, holds: str, within: str) -> frozenset[str]:
    # Some form of a class holds a set where its prime form holds some form of the set.
    wanted, inner, outer = entries(vector), forms(read_set(holds)), forms(read_set(within))
    found = (
        each
        for each in set_classes()
        if size in (ANY, str(each.size))
        and _fits(each.interval_vector, wanted)
        and _symmetrical(each.symmetry, symmetry)
    )
    return frozenset(
        each.forte_name
        for each in found
        for prime in [PcSet.of(*each.prime_form)]
        if (not holds or any(form <= prime for form in inner))
        and (not within or any(prime <= form for form in outer))
    )


def _fits(vector: tuple[int, ...], wanted: tuple[int | None, ...]) -> bool:
    return all(ask in (None, have) for ask, have in zip(wanted, vector, strict=False))


def _symmetrical(symmetry: tuple[int, int], wanted: str) -> bool:
    turns, mirrors = symmetry[0] > 1, symmetry[1] > 0
    return {
        ANY: True,
        "turns": turns,
        "mirrors": mirrors,
        "turns or mirrors": turns or mirrors,
        "none": not (turns or mirrors),
    }[wanted]


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
    tall = top + SIDE_MM + _GAP_MM + neck.high
    canvas = Canvas(WIDE_MM, tall)
    ring(canvas, (0.0, top))
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
        background(canvas),
        (*cells, *clock_spots((0.0, top), press=False), *neck.spots(press=False), *lines),
        (*CLOCK_LINES, *NECK_LINES),
        {"class-picked": box(_CELL_MM - 0.3, _ROW_MM - 0.5, "#16243b", 0.1)},
        "the catalogue of set classes",
    )


def _neck(instrument: str) -> Neck:
    corner = (0.0, _grid_high() + SIDE_MM + _GAP_MM)
    return Neck(Instrument.named(instrument), corner)


def show(result: Found) -> Shown:
    """Return how the parts of the picture look."""
    looks = {f"class-{each.forte_name}": _cell(each, result) for each, _, _ in _rows()}
    state, neck, chord = result.state, _neck(result.state.instrument), chord_of(result.notes)
    shapes = shapes_of(result.notes, "", state.instrument)
    shape = shapes[0] if shapes else None
    looks |= clock_looks(result.notes, chord)
    looks |= neck.looks(result.notes, chord, shape)
    for n, line in enumerate(result.lines):
        looks[f"line-{n + 1}"] = Look("none" if n == 0 else "plain", line)
    top = (0.0, _grid_high())
    courses = clock_courses(result.notes, axes=True, corner=top) | neck.courses(shape)
    return Shown(looks, courses, result.facts)


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
    >>> panel = CataloguePanel("4-27")
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
        return show(compute(state))

    def _controls(self, state: CatalogueState) -> tuple[Control, ...]:
        return (
            Control("size", "choice", "notes", state.size, SIZES),
            Control("symmetry", "choice", "symmetry", state.symmetry, SYMMETRIES),
            Control("vector", "text", "vector", state.vector),
            Control("holds", "text", "holds", state.holds),
            Control("within", "text", "within", state.within),
            Control("down", "button", "Turn left"),
            Control("up", "button", "Turn right"),
            Control("instrument", "choice", "instrument", state.instrument, INSTRUMENTS),
        )

    def _after_press(self, state: CatalogueState, part: str) -> CatalogueState:
        return changed(state, picked=part.removeprefix("class-"), turn=0)

    def _after_set(self, state: CatalogueState, control: str, value: Value) -> CatalogueState:
        if control in ("up", "down"):
            return changed(state, turn=(state.turn + (1 if control == "up" else -1)) % 12)
        return changed(state, **{control: str(value).strip()})

    def _chords(self, state: CatalogueState) -> tuple[Pitches, ...]:
        notes = compute(state).notes
        return (close_pitches(list(notes)),) if notes else ()

    def _choice(self, state: CatalogueState) -> Choice:
        notes = compute(state).notes
        return Choice(notes, chord_of(notes))

    def _after_choice(self, state: CatalogueState, choice: Choice) -> CatalogueState:
        """Pick the class of the notes; their own form is seen where it is a turn of the prime."""
        named = SetClass.of(choice.notes)
        prime = PcSet.of(*named.prime_form)
        turns = [n for n in range(12) if prime.transpose(n) == choice.notes]
        return changed(state, picked=named.forte_name, turn=turns[0] if turns else 0)
