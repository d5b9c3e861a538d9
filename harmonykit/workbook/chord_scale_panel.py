"""The chord scale: a shape climbs a sixth-diminished scale, and voices go against it or borrow.

Every step moves each string to the next note of the scale, so that the chord and the diminished
seventh come by turns.  One string may fall while the others rise; and at each step strings may give
way to their neighbours in the scale.  Seen on staff and neck, and heard.

Three layers: :func:`compute` is a pure function of the state, :func:`draw` a pure drawing of its
result, and :class:`ChordScalePanel` a thin view.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.instrument import Instrument
from harmonykit.fretboard.voicing import Voicing, find_voicings
from harmonykit.show.canvas import Canvas
from harmonykit.show.style import Drawing, join_words
from harmonykit.show.words import string_names
from harmonykit.theory.chord import Chord
from harmonykit.theory.motion import Borrowed, borrow, contrary
from harmonykit.theory.naming import exact_names
from harmonykit.theory.note import Note
from harmonykit.theory.pcset import PcSet
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.workbook.neck_panel import INSTRUMENTS
from harmonykit.workbook.neck_scene import FRETS, NECK_LINES, WIDE_MM, Neck, place_of
from harmonykit.workbook.panel import Choice, Control, Panel, Value, changed
from harmonykit.workbook.scene import Look, Scene, Shown, Spot, background
from harmonykit.workbook.sounds import Pitches
from harmonykit.workbook.staff_scene import HIGH_MM, STAFF_LINES, Chordal, Staff, head_marks

STEPS = 8
TONICS = tuple("C Db D Eb E F F# G Ab A Bb B".split())
NOBODY, PLAIN = "none", "nothing"
_SIGNS = {-1: "-", 0: "0", 1: "+"}
_HEAD_MM = 3.0


@dataclass(frozen=True, slots=True)
class ChordScaleState:
    """What the panel's controls set.

    Parameters
    ----------
    tonic : str
    kind : {"major", "minor", "dominant", "dominant flat five"}
    shape : str
        Where the climb begins, as frets.
    step : int in 0..8
    falling : int
        The string that goes against the others, counted from 1; 0 for none.
    borrowed : str
        What each string borrows, ``-``, ``0`` or ``+``; nothing for none.
    instrument : str
    """

    tonic: str = "C"
    kind: str = "major"
    shape: str = "0-0-0-0"
    step: int = 0
    falling: int = 0
    borrowed: str = ""
    instrument: str = "ukulele"

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise HarmonyError(f"no kind of scale is {self.kind!r}", mend=", ".join(KINDS))
        if self.instrument not in INSTRUMENTS:
            raise HarmonyError(f"no neck for {self.instrument!r}", mend=", ".join(INSTRUMENTS))
        strings = len(Instrument.named(self.instrument).strings)
        if not 0 <= self.falling <= strings:
            raise HarmonyError(f"there is no string {self.falling}", rule=f"1 to {strings}")
        reached = len(climb_of(self)) - 1
        if not 0 <= self.step <= reached:
            raise HarmonyError(
                f"step {self.step} runs off the neck", rule=f"from here there are {reached}"
            )
        if self.borrowed and self.borrowed not in _borrowings(self):
            raise HarmonyError(f"{self.borrowed!r} cannot be borrowed", rule="-, 0 or + a string")


@dataclass(frozen=True, slots=True)
class ChordScale:
    """What a state comes to.

    Parameters
    ----------
    state : ChordScaleState
    scale : SixthDiminished
    shapes : tuple of Voicing
        The climb, as far as the neck goes, at most nine.
    shape : Voicing
        What is held now, with what is borrowed.
    chord : Chord or None
        Its name, if it has one.
    """

    state: ChordScaleState
    scale: SixthDiminished
    shapes: tuple[Voicing, ...]
    shape: Voicing
    chord: Chord | None

    @property
    def name(self) -> str:
        """The chord's printed symbol, or its notes."""
        return self.chord.unicode if self.chord else self.notes

    @property
    def notes(self) -> str:
        """The notes by string, in words."""
        return join_words([self.scale.spell(pitch % 12).unicode for pitch in self.shape.sounding])

    @property
    def facts(self) -> str:
        """One line that says all that the picture shows."""
        state, names = self.state, string_names(self.shape.instrument)
        parts = [
            f"{self.scale.title}, step {state.step} of {len(self.shapes) - 1}: {self.name}, "
            f"{self.shape.digits}"
        ]
        if self.chord:
            parts.append(self.notes)
        if state.falling:
            parts.append(f"the {names[state.falling - 1]} falls while the others rise")
        if state.borrowed:
            before = self.shapes[state.step]
            moved = [
                f"{self.scale.spell(new % 12).unicode} for {self.scale.spell(old % 12).unicode}"
                for old, new in zip(before.sounding, self.shape.sounding, strict=True)
                if old != new
            ]
            parts.append(f"borrowed: {join_words(moved)}")
        return "; ".join(parts)


def compute(state: ChordScaleState) -> ChordScale:
    """Return what a state comes to.

    Examples
    --------
    >>> print(compute(ChordScaleState(step=3)).facts)
    C major sixth-diminished, step 3 of 8: B°7, 4-5-4-5; B, F, A♭ and D
    """
    scale, shapes = _scale(state), climb_of(state)
    shape = shapes[state.step]
    if state.borrowed:
        shape = _borrowings(state)[state.borrowed]
    return ChordScale(state, scale, shapes, shape, chord_in(scale, shape.pcs))


def _scale(state: ChordScaleState) -> SixthDiminished:
    return SixthDiminished(Note.parse(state.tonic), state.kind)


def chord_in(scale: SixthDiminished, pcs: PcSet) -> Chord | None:
    """Return what some notes of a scale are: its chord, its diminished seventh, or another chord.

    Examples
    --------
    >>> chord_in(SixthDiminished("C"), PcSet.of(2, 5, 8, 11))
    Chord.parse('Bdim7')
    """
    own = [chord for chord in (scale.chord, scale.diminished) if chord.pcs == pcs]
    return next(iter((*own, *exact_names(pcs))), None)


def climb_of(state: ChordScaleState) -> tuple[Voicing, ...]:
    """Return the climb from a state's shape, as far as the neck goes.

    Raises
    ------
    HarmonyError
        If a note of the shape is outside the scale.

    Examples
    --------
    >>> [shape.digits for shape in climb_of(ChordScaleState(shape="5-5-5-7", falling=2))]
    ['5-5-5-7', '7-4-7-8', '9-2-8-10', '10-0-10-11']
    """
    return _climb(state.tonic, state.kind, state.shape, state.falling, state.instrument)


@lru_cache(maxsize=256)
def _climb(
    tonic: str, kind: str, digits: str, falling: int, instrument: str
) -> tuple[Voicing, ...]:
    scale = SixthDiminished(Note.parse(tonic), kind)
    start = Voicing.parse(digits, Instrument.named(instrument))
    strings = [string for string, fret in enumerate(start.frets) if fret is not None]
    falls = [strings.index(falling - 1)] if falling - 1 in strings else []
    shapes = []
    for pitches in contrary(scale, start.sounding, falls, STEPS):
        shape = _on_neck(start, strings, pitches)
        if shape is None:
            break
        shapes.append(shape)
    return tuple(shapes)


def _on_neck(start: Voicing, strings: list[int], pitches: tuple[int, ...]) -> Voicing | None:
    frets: list[int | None] = [None] * len(start.frets)
    for string, pitch in zip(strings, pitches, strict=True):
        fret = pitch - start.instrument.midi[string]
        if not 0 <= fret <= min(start.instrument.frets, FRETS):
            return None
        frets[string] = fret
    return Voicing(start.instrument, tuple(frets))


def _borrowings(state: ChordScaleState) -> dict[str, Voicing]:
    shape = climb_of(state)[state.step]
    return _borrowed(state.tonic, state.kind, shape)


@lru_cache(maxsize=256)
def _borrowed(tonic: str, kind: str, shape: Voicing) -> dict[str, Voicing]:
    """Return what can be borrowed at a shape and stays on the neck, those of few strings first."""
    scale = SixthDiminished(Note.parse(tonic), kind)
    strings = [string for string, fret in enumerate(shape.frets) if fret is not None]
    if len(strings) > 4:  # of a guitar's six strings two double others; what is borrowed parts them
        return {}
    found = ((each, _on_neck(shape, strings, each.pitches)) for each in _of(scale, shape))
    return {"".join(_SIGNS[n] for n in each.steps): held for each, held in found if held}


def _of(scale: SixthDiminished, shape: Voicing) -> tuple[Borrowed, ...]:
    return borrow(scale, shape.sounding).chords


@lru_cache(maxsize=8)
def scene(instrument: str) -> Scene:
    """Return the picture that is drawn once for an instrument."""
    neck, staff = _neck(instrument), _staff(instrument)
    canvas = Canvas(WIDE_MM, HIGH_MM + _HEAD_MM + neck.high)
    staff.draw(canvas)
    neck.draw(canvas)
    steps = tuple(
        Spot(f"step-{n}", staff.x(n), 3.0, point=10.0, across=15.0, tall=6.0)
        for n in range(STEPS + 1)
    )
    notes = tuple(spot for spot in staff.spots() if spot.id.startswith("note"))
    return Scene(
        WIDE_MM,
        HIGH_MM + _HEAD_MM + neck.high,
        background(canvas) + staff.clef(),
        (*steps, *notes, *neck.spots()),
        (*NECK_LINES, *STAFF_LINES),
        head_marks(),
        "a chord scale on staff and neck",
    )


def _neck(instrument: str) -> Neck:
    return Neck(Instrument.named(instrument), (0.0, HIGH_MM + _HEAD_MM))


def _staff(instrument: str) -> Staff:
    return Staff.for_neck(Instrument.named(instrument), STEPS + 1)


def show(result: ChordScale) -> Shown:
    """Return how the parts of the picture look."""
    state, scale = result.state, result.scale
    neck, staff = _neck(state.instrument), _staff(state.instrument)
    seen = [*result.shapes[: state.step], result.shape]
    columns = [_column(scale, shape, n == state.step) for n, shape in enumerate(seen)]
    looks = staff.looks(columns) | _step_looks(result)
    spelled = {note.pitch_class: note for note in scale.notes}
    before = result.shapes[state.step - 1] if state.step else None
    if state.borrowed:
        before = result.shapes[state.step]
    looks |= neck.looks(scale.pcs, result.chord, result.shape, before, spelled)
    courses = neck.courses(result.shape, before) | {"ledgers": staff.ledgers(columns)}
    return Shown(looks, courses, result.facts)


def _column(scale: SixthDiminished, shape: Voicing, now: bool) -> Chordal:
    mark = "head-moved" if now else "head"
    return [(scale.spell(pitch % 12).at_pitch(pitch), mark) for pitch in shape.sounding]


def _step_looks(result: ChordScale) -> dict[str, Look]:
    """Return the chords' names above the staff, each of which leads to its step."""
    seen = {}
    for n, shape in enumerate(result.shapes):
        here = n == result.state.step
        chord = result.chord if here else chord_in(result.scale, shape.pcs)
        name = chord.unicode if chord else shape.digits
        role = "none" if here else "off"
        seen[f"step-{n}"] = Look(role, name, f"step {n}, {name}", here)
    return seen


def draw(result: ChordScale) -> Drawing:
    """Draw a result as a still picture."""
    return scene(result.state.instrument).still(show(result))


class ChordScalePanel(Panel[ChordScaleState]):
    """A shape that climbs a sixth-diminished scale, step by step.

    Parameters
    ----------
    tonic : str
    kind : {"major", "minor", "dominant", "dominant flat five"}
    shape : str
        Frets of the first shape, each of whose notes is one of the scale's.
    instrument : str

    Examples
    --------
    >>> panel = ChordScalePanel("C", "major")
    >>> panel.set("up")
    >>> print(panel.facts)
    C major sixth-diminished, step 1 of 8: B°7, 1-2-1-2; A♭, D, F and B
    >>> panel.set("borrow", "0 0 0 -")
    >>> print(panel.facts.split("; ")[-1])
    borrowed: A for B
    """

    kind: ClassVar[str] = "chord-scale"
    title: ClassVar[str] = "a chord scale on staff and neck"

    def __init__(
        self,
        tonic: str = "C",
        kind: str = "major",
        shape: str = "0-0-0-0",
        instrument: str = "ukulele",
    ) -> None:
        digits = Voicing.parse(shape, Instrument.named(instrument)).digits
        name = Note.parse(tonic).name
        super().__init__(ChordScaleState(name, kind, digits, instrument=instrument))

    @classmethod
    def _blank(cls) -> ChordScaleState:
        return ChordScaleState()

    def _scene(self, state: ChordScaleState) -> Scene:
        return scene(state.instrument)

    def _shown(self, state: ChordScaleState) -> Shown:
        return show(compute(state))

    def _controls(self, state: ChordScaleState) -> tuple[Control, ...]:
        names = string_names(Instrument.named(state.instrument))
        tonics = TONICS if state.tonic in TONICS else (state.tonic, *TONICS)
        borrowed = (PLAIN, *(" ".join(signs) for signs in _borrowings(state)))
        return (
            Control("down", "button", "Step down"),
            Control("up", "button", "Step up"),
            Control("start", "button", "Begin here"),
            Control("tonic", "choice", "tonic", state.tonic, tonics),
            Control("kind", "choice", "kind", state.kind, tuple(KINDS)),
            Control(
                "falling", "choice", "falls", (NOBODY, *names)[state.falling], (NOBODY, *names)
            ),
            Control("borrow", "choice", "borrow", " ".join(state.borrowed) or PLAIN, borrowed),
            Control("instrument", "choice", "instrument", state.instrument, INSTRUMENTS),
        )

    def _after_press(self, state: ChordScaleState, part: str) -> ChordScaleState:
        if part.startswith("step-"):
            return changed(state, step=int(part.removeprefix("step-")), borrowed="")
        string, fret = place_of(part)
        steps = [n for n, s in enumerate(climb_of(state)) if s.frets[string] == fret]
        if not steps:
            return state
        nearest = min(steps, key=lambda n: abs(n - state.step))
        return changed(state, step=nearest, borrowed="")

    def _after_set(self, state: ChordScaleState, control: str, value: Value) -> ChordScaleState:
        if control in ("up", "down"):
            step = state.step + (1 if control == "up" else -1)
            return changed(state, step=step, borrowed="")
        if control == "start":
            shape = compute(state).shape.digits
            return changed(state, shape=shape, step=0, falling=0, borrowed="")
        if control == "borrow":
            return changed(state, borrowed="" if value == PLAIN else str(value).replace(" ", ""))
        if control == "falling":
            names = (NOBODY, *string_names(Instrument.named(state.instrument)))
            return changed(state, falling=names.index(str(value)), step=0, borrowed="")
        asked = {"tonic": state.tonic, "kind": state.kind, "instrument": state.instrument}
        return begun(**(asked | {control: str(value)}))

    def _chords(self, state: ChordScaleState) -> tuple[Pitches, ...]:
        result = compute(state)
        return tuple(shape.sounding for shape in (*result.shapes[: state.step], result.shape))

    def _choice(self, state: ChordScaleState) -> Choice:
        result = compute(state)
        return Choice(result.shape.pcs, result.chord)

    def _after_choice(self, state: ChordScaleState, choice: Choice) -> ChordScaleState:
        shapes = climb_of(state)
        steps = [n for n, shape in enumerate(shapes) if shape.pcs == choice.notes]
        if not steps:
            return state
        return changed(state, step=min(steps, key=lambda n: abs(n - state.step)), borrowed="")


def begun(tonic: str, kind: str, instrument: str) -> ChordScaleState:
    """Return a climb from the lowest shape of a scale's chord.

    Examples
    --------
    >>> begun("G", "minor", "ukulele").shape
    '0-2-0-1'
    """
    shape = lowest_shape(SixthDiminished(Note.parse(tonic), kind), instrument)
    return ChordScaleState(tonic, kind, shape.digits, instrument=instrument)


@lru_cache(maxsize=128)
def lowest_shape(scale: SixthDiminished, instrument: str) -> Voicing:
    """Return the lowest shape of a scale's chord.

    Examples
    --------
    >>> lowest_shape(SixthDiminished("C"), "ukulele").digits
    '0-0-0-0'
    """
    neck = Instrument.named(instrument)
    shapes = find_voicings(scale.chord, neck, mutes=len(neck.strings) > 4)
    four = [shape for shape in shapes if len(shape.sounding) == 4] or list(shapes)
    return min(four, key=lambda shape: (shape.highest_fret, shape.stretch_mm, shape.digits))
