"""The figure of an essay: the same notes on a clock and on a neck, at the same moment.

Each is a scene of its own, so that a narrow page can show one of them; the still picture has both.
A guess is four corners about a mark and the word "you"; the truth is its mark and the word for it.
Lengths are in mm.
"""

from functools import lru_cache

from harmonykit.about.names import list_notes, note_of
from harmonykit.draw import drawing, tree
from harmonykit.draw.base.canvas import HUB_PT, LABEL_PT, Canvas
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.diminished import Move
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.values import dataclass, replace
from harmonykit.workbook.base.scene import Look, Scene, Shown, Spot
from harmonykit.workbook.essay.text import Moment
from harmonykit.workbook.panels import scenes
from harmonykit.workbook.panels.scenes import NECK_LINES, Neck, Spread

GUESS, YOU, TRUTH = "guess", "you", "truth"
_CLOCK_WIDE, _NECK_WIDE, _SHORT_WIDE = 93.0, 160.0, 86.0
_SPREAD = Spread(strings=12.2, frets=10, mark=8.0, top=7.0)
_CLOCK_MARK, _APART = 8.4, 6.0


@dataclass(frozen=True, slots=True)
class Pictures:
    """What is on clock and neck at one moment."""

    clock: Shown
    neck: Shown


def _corners(half: float, long: float) -> tree.Outline:
    """Return four corners about the origin."""
    found: tree.Outline = ()
    for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        corner = (x * half, y * half)
        ends = (corner[0], corner[1] - y * long), (corner[0] - x * long, corner[1])
        found += tree.polyline([ends[0], corner, ends[1]])
    return found


def _marks(half: float) -> dict[str, tuple[tree.Part, ...]]:
    return {GUESS: (tree.Path(_corners(half, half * 0.45), "", "ink", 0.58),)}


def _labels(name: str, anchor: str) -> tuple[Spot, ...]:
    """Return what is put beside a mark: the corners of a guess, and the words."""
    corners = Spot(f"{name}-{GUESS}", 0.0, 0.0, press=False)
    words = (Spot(f"{name}-{word}", 0.0, 0.0, press=False, anchor=anchor) for word in (YOU, TRUTH))
    return (corners, *words)


@lru_cache(maxsize=1)
def clock_scene() -> Scene:
    """Return the clock, which is drawn once."""
    canvas = Canvas(_CLOCK_WIDE, scenes.SIDE_MM)
    scenes.ring(canvas)
    middle = scenes.SIDE_MM / 2
    hub = (
        Spot("heading", middle, middle - 2.0, point=HUB_PT, press=False),
        Spot("below", middle, middle + 6.5, point=LABEL_PT, press=False),
    )
    places = (replace(spot, mark=_CLOCK_MARK, point=13.0) for spot in scenes.clock_spots())
    spots = (*places, *hub, *_labels("clock", "start"))
    return Scene(
        _CLOCK_WIDE,
        scenes.SIDE_MM,
        canvas.parts,
        spots,
        scenes.CLOCK_LINES,
        _marks(6.0),
        "a clock of twelve notes",
    )


@lru_cache(maxsize=8)
def neck_scene(instrument: Instrument, *, short: bool = False) -> Scene:
    """Return the neck of an instrument, which is drawn once; a short one has its first frets."""
    neck = neck_of(instrument, short=short)
    canvas = Canvas(neck.wide, neck.high)
    neck.draw(canvas)
    spots = (*neck.spots(), *_labels("neck", "end"))
    return Scene(
        neck.wide,
        neck.high,
        canvas.parts,
        spots,
        NECK_LINES,
        _marks(5.6),
        f"the neck of the {instrument.name}",
    )


def neck_of(instrument: Instrument, *, short: bool = False) -> Neck:
    """Return where things stand on the neck."""
    if short:
        return Neck(instrument, wide=_SHORT_WIDE, spread=replace(_SPREAD, frets=4))
    return Neck(instrument, wide=_NECK_WIDE, spread=_SPREAD)


def pictures(moment: Moment, instrument: Instrument, *, short: bool = False) -> Pictures:
    """Return what the figure shows at a moment."""
    now, was = moment.now, moment.was
    chord = now.chord if moment.named else None
    spelled = {note.pitch_class: note for note in now.chord.tones}
    before = was.chord.pcs if was else PcSet(0)
    old = was.chord if was else None
    moves = _moves(moment)
    facts = _facts(moment)
    looks = scenes.clock_looks(now.chord.pcs, chord, before, old)
    for pc, note in spelled.items():
        looks[f"pc-{pc}"] = looks[f"pc-{pc}"]._replace(text=note.unicode)
    looks["heading"] = Look("none", now.chord.unicode if moment.named else "?")
    looks["below"] = Look("off", _below(moment))
    courses = scenes.clock_courses(now.chord.pcs, before, moves=moves)
    neck = neck_of(instrument, short=short)
    shape, earlier = now.shape, was.shape if was else None
    strings = neck.looks(PcSet(0), chord, shape, earlier, spelled)
    for part, look in strings.items():
        if look.role == "was" and old is not None:
            pc = _pitch_class(part, instrument)
            strings[part] = look._replace(text=note_of(pc, old).unicode)
    on_neck = Shown(strings, neck.courses(shape, earlier), facts)
    return Pictures(Shown(looks, courses, facts), on_neck)


def _pitch_class(part: str, instrument: Instrument) -> int:
    string, fret = scenes.place_of(part)
    return (instrument.midi[string] + fret) % 12


def _moves(moment: Moment) -> list[tuple[int, int]]:
    """Return the one note that moved, where just one did."""
    if moment.was is None:
        return []
    left = moment.was.chord.pcs - moment.now.chord.pcs
    come = moment.now.chord.pcs - moment.was.chord.pcs
    return [(next(iter(left)), next(iter(come)))] if len(left) == len(come) == 1 else []


def _below(moment: Moment) -> str:
    """Say under the name what has moved."""
    if moment.was is None:
        return ""
    if not (moves := _moves(moment)):
        return f"after {moment.was.chord.unicode}"
    (start, end), old, chord = moves[0], moment.was.chord, moment.now.chord
    return str(Move(note_of(start, old), note_of(end, chord)))


def _facts(moment: Moment) -> str:
    """Say in one line what clock and neck show."""
    chord = moment.now.chord
    notes = list_notes([note.pitch_class for note in chord.tones], chord)
    said = f"{chord.unicode}: {notes}" if moment.named else f"a chord of {notes}"
    shape = f", {moment.now.shape.digits}" if moment.now.shape is not None else ""
    return f"{said}{shape}" + (f"; {_below(moment)}" if moment.was else "")


def parts_for(note: int, moment: Moment, instrument: Instrument) -> tuple[str, ...]:
    """Return the parts of the figure that show a note: on the clock, and where the shape has it."""
    shape = moment.now.shape
    frets = enumerate(() if shape is None else shape.frets)
    held = [
        f"string-{string + 1}-fret-{fret}"
        for string, fret in frets
        if fret is not None and (instrument.midi[string] + fret) % 12 == note
    ]
    return (f"pc-{note}", *held)


def beside(parts: tuple[str, ...], word: str, instrument: Instrument, *, guess: bool) -> Pictures:
    """Return what is put beside the parts of a guess, or of the truth."""
    looks: dict[str, dict[str, Look]] = {"clock": {}, "neck": {}}
    for part in parts:
        on = "clock" if part.startswith("pc-") else "neck"
        x, y = _where(part, instrument)
        name = YOU if guess else TRUTH
        looks[on][f"{on}-{name}"] = Look("none", word, at=_word_at(on, x, y, guess=guess))
        if guess:
            looks[on][f"{on}-{GUESS}"] = Look(GUESS, at=(x, y))
    return Pictures(Shown(looks["clock"], {}, ""), Shown(looks["neck"], {}, ""))


def _word_at(on: str, x: float, y: float, *, guess: bool) -> tree.Point:
    """Return where a word stands: at the right of a mark, or at its left between two strings."""
    if on == "clock":
        return x + _APART + 1.0, y
    return x - _APART + 1.0, y + (_APART if guess else -_APART + 1.0)


def _where(part: str, instrument: Instrument) -> tree.Point:
    if part.startswith("pc-"):
        spot = next(each for each in clock_scene().spots if each.id == part)
        return spot.x, spot.y
    return neck_of(instrument).place(*scenes.place_of(part))


def still(moment: Moment, instrument: Instrument) -> drawing.Drawing:
    """Return clock and neck as one picture, which stands alone."""
    clock, neck = clock_scene(), neck_scene(instrument)
    shown = pictures(moment, instrument)
    high = max(clock.height, neck.height)
    down = (high - neck.height) / 2
    at = clock.width + 4.0
    moved = [replace(spot, x=spot.x + at, y=spot.y + down) for spot in neck.spots]
    scene = Scene(
        at + neck.width,
        high,
        (*clock.background, *(part.moved(at, down) for part in neck.background)),
        (*clock.spots, *moved),
        (*clock.lines, *neck.lines),
        title=shown.clock.facts,
    )
    lines = {
        name: tree.Path(course).moved(at, down).outline for name, course in shown.neck.lines.items()
    }
    looks = {**shown.clock.looks, **shown.neck.looks}
    seen = {part: look for part, look in looks.items() if look.role != "none" or look.text}
    return scene.still(Shown(seen, {**shown.clock.lines, **lines}, shown.clock.facts))
