"""A level's page of a handout: its chart, what to watch, and why each chord was added.

Its shapes are boxes with fingers and notes, each with its figures and all its names.  The sheet
shows them in one of two sizes, all that a level needs or those alone that are new in it,
as there is room; so they travel in both, and the page's template chooses.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.draw.base.style import join_words
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.box_look import BOX_SIZES, BoxLook
from harmonykit.fretboard.hands.fingering import Fingering
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.chart import chart
from harmonykit.lesson.handout.figures import LARGE, Figures
from harmonykit.lesson.handout.passes import passes, printed
from harmonykit.lesson.handout.text import counted_word, spans, unbroken
from harmonykit.lesson.plan.model import Lesson, Played
from harmonykit.lesson.plan.shown import Shown
from harmonykit.theory.chord import Chord
from harmonykit.tune.tune import PICKUP, Tune, bar_length, beat_length

# A row with boxes is higher than this; what a page of A4 holds below a level's head.
_LEAST_ROW_MM, _PAGE_MM = 31.0, 241.0


def level_pages(lesson: Lesson, figures: Figures) -> list[dict[str, Any]]:
    """Return each level's page as plain data.

    A chart travels with figures alone, and with boxes too unless some level has no room for them:
    all levels of a sheet look alike.
    """
    explained: dict[str, int] = {}
    known: set[Voicing] = set()
    bare = [chart(played.arrangement, figures, boxes=False) for played in lesson.played]
    boxed = not figures.large and all(map(_may_have_boxes, bare))
    pages = []
    for number, (played, rows) in enumerate(zip(lesson.played, bare, strict=True), start=1):
        page = _page(played, number, explained) | {"bare": rows}
        page["rows"] = chart(played.arrangement, figures) if boxed else []
        page["twins"] = {
            "all": twins(played.arrangement),
            "known": twins(played.arrangement, known),
        }
        pages.append(page | {"shapes": level_shapes(played.arrangement, known, figures)})
    return pages


def _may_have_boxes(bare: Sequence[dict[str, Any]]) -> bool:
    """Whether a chart may stand on a page with boxes, which never take fewer rows than figures."""
    return len(bare) * _LEAST_ROW_MM < _PAGE_MM


def _page(played: Played, number: int, explained: dict[str, int]) -> dict[str, Any]:
    level, arrangement = played.level, played.arrangement
    reasons = list(_reasons(arrangement))
    new = [one for one in reasons if one.key not in explained]
    before = sorted({explained[one.key] for one in reasons if one.key in explained})
    explained |= {one.key: number for one in new}
    return {
        "title": unbroken(arrangement.tune.title),
        "name": unbroken(f"Level {number} · {level.name}"),
        "short": f"level {number}",
        "line": tune_line(arrangement.tune, level.tempo),
        "form": _form(arrangement),
        "watch": unbroken(level.watch),
        "reasons": [one.data() for one in new],
        "earlier": _earlier(before),
        "notes": [unbroken(note) for note in played.notes],
    }


def tune_line(tune: Tune, tempo: float) -> str:
    """Return how long a tune is, its key, its metre and its tempo in beats, in words.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> tune_line(read_tune(find_data("tunes", "slack_water_waltz")), 96)
    'sixteen bars in F major · three beats a bar · 96 to the minute'
    """
    bars = tune.bar_count
    counted = f"{counted_word(bars)} bar{'' if bars == 1 else 's'} in {tune.key.unicode}"
    beat = beat_length(tune.meter)
    beats = bar_length(tune.meter) / beat
    in_bar = f"{_beats(beats)} a bar"
    if tune.meter[1] != 4:
        in_bar += f" ({tune.meter[0]}/{tune.meter[1]})"
    pickup = [f"a pick-up of {_beats(tune.pickup / beat)}"] if tune.pickup else []
    speed = f"{tempo / float(beat):.0f} to the minute"
    return " · ".join([counted, *pickup, in_bar, speed])


def _beats(number: Fraction) -> str:
    return f"{counted_word(int(number)) if number.denominator == 1 else number} beat" + (
        "" if number == 1 else "s"
    )


def _form(arrangement: Arrangement) -> str:
    """Return the order of the sections where one comes again: ``in order A A B A``.

    Of several choruses it is that of one.
    """
    times = len(arrangement.choruses) or 1
    sections = [one.section for one in passes(arrangement) if one.section != PICKUP]
    sections = sections[: len(sections) // times]
    once = len(set(sections)) == len(sections)
    order = "" if once else unbroken("in order " + " ".join(sections))
    again = f"{counted_word(times)} times" if times > 1 else ""
    return ", ".join(filter(None, (order, again)))


def _earlier(levels: Sequence[int]) -> str:
    if not levels:
        return ""
    numbers = join_words([str(n) for n in levels])
    return (
        f"The other added chords are explained at level{'s' if len(levels) > 1 else ''} {numbers}."
    )


def twins(arrangement: Arrangement, among: Collection[Voicing] | None = None) -> str:
    """Return one sentence on the shapes that bear several names in a level; empty for none.

    Of all shapes, or of those alone that are ``among`` some.
    """
    shared = [
        f"{shape.digits} is {join_words([Shown(shape, chord).printed for chord in chords])}"
        for shape, chords in names_of(arrangement).items()
        if len(chords) > 1 and (among is None or shape in among)
    ]
    several = (
        "One shape may have several names: " if len(shared) > 1 else "One shape has two names: "
    )
    return several + "; ".join(shared) + "." if shared else ""


@dataclass(slots=True)
class _Reason:
    """Chords added for one and the same reason, with what they move."""

    key: str
    names: dict[str, None] = field(default_factory=dict)
    details: dict[str, None] = field(default_factory=dict)
    bars: list[int] = field(default_factory=list)

    def data(self) -> dict[str, Any]:
        # What one chord moves is told; where several stand for one reason, the reason alone.
        text = next(iter(self.details)) if len(self.details) == 1 else f"{self.key}."
        # A walk is one reason for all its chords, a sentence without a subject.
        walks = text.startswith("Walks ")
        each = "each " if len(self.names) > 1 and not walks else ""
        text = f"w{text[1:]}" if walks else text
        return {"names": ", ".join(self.names), "bars": spans(self.bars), "text": each + text}


def _reasons(arrangement: Arrangement) -> Iterator[_Reason]:
    """Yield the reasons of a level's chords, those alike but for the notes drawn together."""
    found: dict[str, _Reason] = {}
    for bar, step in _printed_steps(arrangement):
        if not step.reason or step.chord is None:
            continue
        name = step.chord.unicode
        said = step.reason.removeprefix(f"{name} ")
        key = said.partition(":")[0]
        one = found.setdefault(key, _Reason(key))
        one.names[name] = None
        one.details[said] = None
        one.bars.append(bar)
    yield from found.values()


def _printed_steps(arrangement: Arrangement) -> Iterator[tuple[int, Step]]:
    for one in printed(arrangement):
        for bar in one.new:
            yield from ((bar.number, step) for step in bar.steps)


_APART_MM, _NAMES_APART_MM = 9.2, 1.5
_CHART_APART_MM, _TWO_FIGURES_MM = 5.8, 1.4  # a fret's number of two figures wants more air
_SIDE_MM = 6.0  # of a box whose name is no wider than its strings and their sides
_ROW_MM = 174.0
_MUTED = "x a string that is not played"

Names = dict[Voicing, tuple[Chord, ...]]


def level_shapes(
    arrangement: Arrangement, known: set[Voicing], figures: Figures
) -> dict[str, Any] | None:
    """Return the shapes of a level in order of their names; None where nothing sounds.

    Parameters
    ----------
    arrangement : Arrangement
    known : set of Voicing
        The shapes of the levels before; those that are found are added.
    figures : Figures
        Takes in the boxes.
    """
    named = names_of(arrangement)
    if not named:
        return None
    sizes = ("plain",) if figures.large else ("plain", "chart")
    held = fingerings_of(arrangement)
    drawn = {
        size: {v: _draw(Shown(v, named[v][0]), held[v], size, figures) for v in named}
        for size in sizes
    }
    boxes = [
        {
            "boxes": {size: figures.add_box(drawn[size][shape]) for size in sizes},
            "digits": shape.digits,
            "also": [Shown(shape, chord).printed for chord in chords[1:]],
            "held": " ".join(f"or fingers {_pressing(other)}" for other in held[shape][1:]),
            "new": shape not in known,
            "order": f"{chords[0].symbol} {shape.lowest_fret:02d} {shape.digits}",
        }
        for shape, chords in named.items()
    ]
    told = bool(known)
    known |= set(named)
    return {
        "note": "" if told else _note(named),
        "columns": {size: _columns(drawn[size], size, figures) for size in sizes},
        "boxes": sorted(boxes, key=lambda box: str(box["order"])),
    }


def names_of(arrangement: Arrangement) -> Names:
    """Return the shapes of a level as they first come, each with the chords that it stands for."""
    found: dict[Voicing, dict[Chord, None]] = {}
    for step in arrangement.sounding:
        if step.chord and step.voicing and not step.alone:
            found.setdefault(step.voicing, {})[step.chord] = None
    return {shape: tuple(chords) for shape, chords in found.items()}


def fingerings_of(arrangement: Arrangement) -> dict[Voicing, tuple[Fingering, ...]]:
    """Return the shapes of a level, each with its fingerings in the order in which they come."""
    found: dict[Voicing, dict[Fingering, None]] = {}
    for step, fingering in zip(arrangement.steps, arrangement.fingerings, strict=True):
        if step.voicing is not None:
            kinds = found.setdefault(step.voicing, {})
            kinds |= {fingering: None} if fingering is not None else {}
    return {shape: tuple(fingerings) for shape, fingerings in found.items()}


def _pressing(fingering: Fingering) -> str:
    """Return the fingers that press, in the order of the strings: ``"1-3-2"``."""
    return "-".join(str(finger) for finger in fingering.fingers if finger)


def _draw(shown: Shown, held: Sequence[Fingering], size: str, figures: Figures) -> Drawing:
    look = BoxLook(size=size, notes=True, fingering=held[0] if held else None)
    return figures.box(shown, look, marks="fingers")


def _columns(drawn: Mapping[Voicing, Drawing], size: str, figures: Figures) -> int:
    """Return how many boxes share a row: strings and air apart, or as far as long names need."""
    boxes = list(drawn.values())
    high = any(window(shape.frets)[0] >= 10 for shape in drawn)
    scale = LARGE if figures.large else 1.0
    air = _APART_MM * scale
    if size == "chart":
        air = _CHART_APART_MM + _TWO_FIGURES_MM * high
    side = _SIDE_MM * (BOX_SIZES["sheet"].side if figures.large else 1.0)
    slot = max(_slot(drawing, side, air) for drawing in boxes)
    widest = max(drawing.width_mm for drawing in boxes)
    return 1 + int((_ROW_MM - widest) / slot)


def _slot(drawing: Drawing, plain_side: float, air: float) -> float:
    side = drawing.origin_mm[0]
    strings = drawing.width_mm - 2 * side + air
    named = drawing.width_mm + _NAMES_APART_MM if side > plain_side + 0.001 else 0.0
    return max(strings, named)


def _note(found: Mapping[Voicing, object]) -> str:
    parts = ["Fingers are in the marks, 1 the index finger", "o an open string"]
    if any(None in shape.frets for shape in found):
        parts.append(_MUTED)
    return "; ".join(parts) + ". Notes below."
