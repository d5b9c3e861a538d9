"""The chord scale: a shape climbs a sixth-diminished scale, and voices go against it or borrow.

Every step moves each string to the next note of the scale, so that the chord and the diminished
seventh come by turns.  One string may fall while the others rise; and at each step strings may give
way to their neighbours in the scale.  Seen on staff and neck, and heard.

Three layers: ``compute`` is a pure function of the state, ``draw`` a pure drawing of its
result, and ``ChordScalePanel`` a thin view.
"""

from functools import lru_cache
from typing import ClassVar

from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.draw.base.given import string_names
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.sound.chords import Pitches
from harmonykit.theory.note import Note
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.workbook.base.panel import Choice, Panel, changed
from harmonykit.workbook.base.scene import Control, Look, Scene, Shown, Spot, Value, with_own
from harmonykit.workbook.panels import chord_scale_climb as climb
from harmonykit.workbook.panels.neck import choose_neck
from harmonykit.workbook.panels.scenes import NECK_LINES, WIDE_MM, Neck, place_of
from harmonykit.workbook.panels.staff_scene import HIGH_MM, STAFF_LINES, Chordal, Staff, head_marks

_HEAD_MM = 3.0


@lru_cache(maxsize=8)
def scene(instrument: str) -> Scene:
    """Return the picture that is drawn once for an instrument."""
    neck, staff = _neck(instrument), _staff(instrument)
    canvas = Canvas(WIDE_MM, HIGH_MM + _HEAD_MM + neck.high)
    staff.draw(canvas)
    neck.draw(canvas)
    steps = tuple(
        Spot(f"step-{n}", staff.x(n), 3.0, point=10.0, across=15.0, tall=6.0)
        for n in range(climb.STEPS + 1)
    )
    notes = tuple(spot for spot in staff.spots() if spot.id.startswith("note"))
    return Scene(
        WIDE_MM,
        HIGH_MM + _HEAD_MM + neck.high,
        (*canvas.parts, staff.clef()),
        (*steps, *notes, *neck.spots()),
        (*NECK_LINES, *STAFF_LINES),
        head_marks(),
        "a scale of chords on staff and neck",
    )


def _neck(instrument: str) -> Neck:
    return Neck(Instrument.named(instrument), (0.0, HIGH_MM + _HEAD_MM))


def _staff(instrument: str) -> Staff:
    return Staff.for_neck(Instrument.named(instrument), climb.STEPS + 1)


def show(result: climb.ChordScale) -> Shown:
    """Return how the parts of the picture look."""
    state, scale = result.state, result.scale
    neck, staff = _neck(state.instrument), _staff(state.instrument)
    seen = [*result.shapes[: state.step], result.shape]
    columns = [_column(scale, shape, now=n == state.step) for n, shape in enumerate(seen)]
    looks = staff.looks(columns) | _step_looks(result)
    spelled = {note.pitch_class: note for note in scale.notes}
    before = result.shapes[state.step - 1] if state.step else None
    if state.borrowed:
        before = result.shapes[state.step]
    looks |= neck.looks(scale.pcs, result.chord, result.shape, before, spelled)
    courses = neck.courses(result.shape, before) | {"ledgers": staff.ledgers(columns)}
    return Shown(looks, courses, result.facts)


def _column(scale: SixthDiminished, shape: Voicing, *, now: bool) -> Chordal:
    mark = "head-moved" if now else "head"
    return [(scale.spell(pitch % 12).at_pitch(pitch), mark) for pitch in shape.sounding]


def _step_looks(result: climb.ChordScale) -> dict[str, Look]:
    """Return the chords' names above the staff, each of which leads to its step."""
    seen = {}
    for n, shape in enumerate(result.shapes):
        here = n == result.state.step
        chord = result.chord if here else climb.chord_in(result.scale, shape.pcs)
        name = chord.unicode if chord else shape.digits
        role = "none" if here else "off"
        seen[f"step-{n}"] = Look(role, name, f"step {n}, {name}", here)
    return seen


def draw(result: climb.ChordScale) -> Drawing:
    """Draw a result as a still picture."""
    return scene(result.state.instrument).still(show(result))


class ChordScalePanel(Panel[climb.ChordScaleState]):
    """A shape that moves up a sixth-diminished scale, step by step.

    Parameters
    ----------
    tonic : str
    kind : {"major", "minor", "dominant", "dominant flat five"}
    shape : str
        Frets of the first shape, each of whose notes is one of the scale's.
    instrument : str

    Examples
    --------
    >>> panel = hk.workbook.ChordScalePanel("C", "major")
    >>> panel.set("up")
    >>> print(panel.facts)
    C major sixth-diminished, step 1 of 8: B°7, 1-2-1-2; A♭, D, F and B
    >>> panel.set("borrow", "0 0 0 -")
    >>> print(panel.facts.split("; ")[-1])
    borrowed: A for B
    """

    kind: ClassVar[str] = "chord-scale"
    title: ClassVar[str] = "a scale of chords on staff and neck"

    def __init__(
        self,
        tonic: str = "C",
        kind: str = "major",
        shape: str = "0-0-0-0",
        instrument: str = "ukulele",
    ) -> None:
        digits = Voicing.parse(shape, Instrument.named(instrument)).digits
        name = Note.parse(tonic).name
        super().__init__(climb.ChordScaleState(name, kind, digits, instrument=instrument))

    @classmethod
    def _blank(cls) -> climb.ChordScaleState:
        return climb.ChordScaleState()

    def _scene(self, state: climb.ChordScaleState) -> Scene:
        return scene(state.instrument)

    def _shown(self, state: climb.ChordScaleState) -> Shown:
        return show(climb.compute(state))

    def _controls(self, state: climb.ChordScaleState) -> tuple[Control, ...]:
        names = string_names(Instrument.named(state.instrument))
        tonics = with_own(state.tonic, climb.TONICS)
        borrowed = (climb.PLAIN, *(" ".join(signs) for signs in climb.borrowings(state)))
        return (
            Control("down", "button", "Step down"),
            Control("up", "button", "Step up"),
            Control("start", "button", "Start here"),
            Control(
                "tonic",
                "choice",
                "tonic",
                state.tonic,
                tonics,
                printed=tuple(Note.parse(each).unicode for each in tonics),
            ),
            Control("kind", "choice", "kind", state.kind, tuple(KINDS)),
            Control(
                "falling",
                "choice",
                "falls",
                (climb.NOBODY, *names)[state.falling],
                (climb.NOBODY, *names),
            ),
            Control(
                "borrow", "choice", "borrow", " ".join(state.borrowed) or climb.PLAIN, borrowed
            ),
            choose_neck(state.instrument),
        )

    def _after_press(self, state: climb.ChordScaleState, part: str) -> climb.ChordScaleState:
        if part.startswith("step-"):
            return changed(state, step=int(part.removeprefix("step-")), borrowed="")
        string, fret = place_of(part)
        steps = [n for n, s in enumerate(climb.climb_of(state)) if s.frets[string] == fret]
        if not steps:
            return state
        nearest = min(steps, key=lambda n: abs(n - state.step))
        return changed(state, step=nearest, borrowed="")

    def _unmoved(self, asked: str) -> str:
        """Say that a step is seen already, or where the shapes are held."""
        look = self._now.looks.get(asked)
        if look is None:
            return super()._unmoved(asked)
        if asked.startswith("step-") or look.on:
            return f"{look.name}: it is the step that you see"
        return f"{look.name}: no shape of this scale is held there; press a chord above the staff"

    def _after_set(
        self, state: climb.ChordScaleState, control: str, value: Value
    ) -> climb.ChordScaleState:
        if control in ("up", "down"):
            step = state.step + (1 if control == "up" else -1)
            return changed(state, step=step, borrowed="")
        if control == "start":
            shape = climb.compute(state).shape.digits
            begun = changed(state, shape=shape, step=0, falling=0, borrowed="")
            if len(climb.climb_of(begun)) == 1:
                raise HarmonyError(f"no step up from {shape} fits this neck: start lower")
            return begun
        if control == "borrow":
            return changed(
                state, borrowed="" if value == climb.PLAIN else str(value).replace(" ", "")
            )
        if control == "falling":
            names = (climb.NOBODY, *string_names(Instrument.named(state.instrument)))
            return changed(state, falling=names.index(str(value)), step=0, borrowed="")
        asked = {"tonic": state.tonic, "kind": state.kind, "instrument": state.instrument}
        return climb.begun(**(asked | {control: str(value)}))

    def _chords(self, state: climb.ChordScaleState) -> tuple[Pitches, ...]:
        result = climb.compute(state)
        return tuple(shape.sounding for shape in (*result.shapes[: state.step], result.shape))

    def _choice(self, state: climb.ChordScaleState) -> Choice:
        result = climb.compute(state)
        return Choice(result.shape.pcs, result.chord)

    def _after_choice(self, state: climb.ChordScaleState, choice: Choice) -> climb.ChordScaleState:
        shapes = climb.climb_of(state)
        steps = [n for n, shape in enumerate(shapes) if shape.pcs == choice.notes]
        if not steps:
            return state
        return changed(state, step=min(steps, key=lambda n: abs(n - state.step)), borrowed="")
