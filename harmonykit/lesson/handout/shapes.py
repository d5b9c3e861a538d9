"""The shapes of a level on paper: in order of playing, the new ones beside what is known already.

A shape that is hard, and a chord that breaks down, has the easiest grip beside it that still sounds
right with the others.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.base.fonts import text_width
from harmonykit.draw.drawing import Drawing
from harmonykit.draw.shapes.looks import BOX_SIZES, BoxLook
from harmonykit.fretboard.hands import difficulty, hand
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.grips import grip_form
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.handout.chart import ROW_MM
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.plan.grips import NewGrip, fingerings_of, first_bars, names_of
from harmonykit.lesson.plan.shown import Shown
from harmonykit.lesson.together.rescue import Hard, left_out, rescue
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass, field, replace
from harmonykit.words.numbers import counted_word, plural

_AIR_MM = {"play": 7.0, "plain": 6.0, "sheet": 12.0}
# In large print, where that spares a page: a number of a fret has room yet.
_CLOSE_MM, TRIM_MM, _ONE_DIGIT = 7.0, 3.1, 9
# What a number between two boxes takes beside its own, and the strings of the other behind it.
_NUMBER_MM = 8.6
_NAMES_APART_MM = 1.5
_MUTED = "x: a string that is not played."
_MOST_EASIER = 3


@dataclass(frozen=True, slots=True)
class Told:
    """What the levels before have shown: shapes and their fingers, cautions, easier grips."""

    shapes: set[Voicing] = field(default_factory=set)
    held: dict[Voicing, hand.Fingering] = field(default_factory=dict)
    cautions: set[tuple[Voicing, str]] = field(default_factory=set)
    easier: set[Chord] = field(default_factory=set)


def level_shapes(
    arrangement: Arrangement,
    told: Told,
    figures: Figures,
    fresh: Sequence[NewGrip] | None = None,
) -> dict[str, Any] | None:
    """Return the shapes of a level in order of playing; None where nothing sounds.

    Parameters
    ----------
    arrangement : Arrangement
    told : Told
        Of the levels before; what is found is added.
    figures : Figures
        Takes in the boxes.
    fresh : sequence of NewGrip, optional
        The grips that are new, where anything was known before.
    """
    named, known = names_of(arrangement), bool(told.shapes)
    if not named:
        return None
    sizes = ("plain", "known") if figures.large else ("play", "plain")
    held, first = fingerings_of(arrangement), first_bars(arrangement)
    drawn = {
        size: {v: _draw(Shown(v, named[v][0]), held[v], size, figures) for v in named}
        for size in sizes
    }
    # Where no shape is new, those with other fingers are shown again.
    old = named.keys() <= told.shapes
    # A known grip from which most fingers move is no help.
    near = [one for one in fresh or () if one.kin and one.kin.is_near and one.kin.helps]
    kin = {one.shown.shape: one.kin.words for one in near if one.kin}
    boxes = [
        {
            "boxes": {size: figures.add_box(drawn[size][shape]) for size in sizes},
            "name": chords[0].unicode,
            "digits": shape.digits,
            "from": f"from bar {first[shape]}" if first[shape] else "from the pick-up",
            "also": [Shown(shape, chord).printed for chord in chords[1:]],
            "held": " ".join(f"or fingers {_pressing(other)}" for other in held[shape][1:2]),
            "new": shape not in told.shapes or (old and _regripped(shape, held[shape], told)),
            "kin": kin.get(shape, ""),
        }
        for shape, chords in named.items()
    ]
    said = _counted(held, told, fresh)
    told.shapes.update(named)
    told.held.update({shape: ways[0] for shape, ways in held.items() if ways})
    return {
        "said": said,
        "kin": [] if figures.large else [_beside(one, figures) for one in near],
        "note": "numbers are fingers",
        "muted": _MUTED if any(None in shape.frets for shape in named) else "",
        "columns": {size: _columns(drawn[size], size, figures) for size in sizes},
        "close": _close(drawn["plain"], boxes, figures) if figures.large else 0,
        "numbered": any(window(shape.frets)[0] > 1 for shape in named),
        "trim": TRIM_MM,
        "boxes": boxes,
        "small": known or figures.large or _wide(drawn["plain"].values()) >= _LEAST_FIRST_MM,
        "cautions": _cautions(held, told),
    }


# Who sees shapes for the first time sees them large: the outer strings lie so far apart.
_LEAST_FIRST_MM = 18.0


def _wide(drawn: Iterable[Drawing]) -> float:
    """Return how far apart the outer strings of boxes lie."""
    return max(one.width_mm - 2 * one.origin_mm[0] for one in drawn)


def _beside(one: NewGrip, figures: Figures) -> dict[str, Any]:
    """Return a new grip beside the known one from which it differs by the fewest fingers."""
    kin = one.kin
    if kin is None:
        return {}
    look = BoxLook(size="over", notes=False)
    before, after = figures.pair(kin.start, one.shown.shape, kin.change, look)
    return {
        "before": before, "after": after, "name": kin.start_name,
        "new": one.shown.chord.unicode, "words": kin.beside,
    }  # fmt: skip


def easier_grips(
    arrangement: Arrangement, hard: Sequence[Hard], told: Told, figures: Figures
) -> list[dict[str, Any]]:
    """Return the easier grips of shapes that want care, and of chords at which a change breaks.

    Parameters
    ----------
    arrangement : Arrangement
    hard : sequence of Hard
        The changes that are shown.
    told : Told
        Of the levels before; what is found is added.
    figures : Figures
        Takes in the boxes.
    """
    held = fingerings_of(arrangement)
    found: dict[Chord, Voicing] = {}
    for shape, chords in names_of(arrangement).items():
        other = rescue(chords[0], shape) if _caution(shape, held) else None
        if other is not None:
            found.setdefault(chords[0], other)
    for one in hard:
        if one.rescue is not None:
            found.setdefault(*one.rescue)
    fresh = [pair for pair in found.items() if pair[0] not in told.easier][:_MOST_EASIER]
    told.easier.update(chord for chord, _ in fresh)
    # A grip that the level has, or one before it, is held as there.
    known = told.held | {shape: ways[0] for shape, ways in held.items() if ways}
    look = BoxLook(size="over", notes=False)
    return [
        {
            "box": figures.add_box(
                figures.box(shape, replace(look, fingering=known.get(shape)), marks="fingers")
            ),
            "chord": chord.unicode,
            "frets": shape.digits,
            "without": left_out(chord, shape),
        }
        for chord, shape in fresh
    ]


Held = Mapping[Voicing, Sequence[hand.Fingering]]


def _counted(held: Held, told: Told, fresh: Sequence[NewGrip] | None) -> str:
    """Return how many shapes a level has, and how many of them are new, if anything was known.

    A known grip at another fret is not new, nor is a known shape that is held otherwise; both are
    told.
    """
    count = counted_word(len(held))
    said = f"{count[:1].upper()}{count[1:]} {plural(len(held), 'shape')}"
    if fresh is None:
        return said
    new = {one.shown.shape for one in fresh}
    forms = {grip_form(shape) for shape in told.shapes | new}
    moved = sum(grip_form(shape) in forms for shape in held if shape not in told.shapes | new)
    other = sum(_regripped(shape, ways, told) for shape, ways in held.items())
    if len(held) == 1:
        said += ", a new one" if new else ", not new"
    else:
        some = counted_word(len(new)) if new else "none"
        said += f", {'all' if len(new) == len(held) else some} of them new"
    said += f", {counted_word(moved)} at another fret" if moved else ""
    return said + (f", {counted_word(other)} with other fingers" if other else "")


def _regripped(shape: Voicing, ways: Sequence[hand.Fingering], told: Told) -> bool:
    """Whether a shape is held with other fingers than the levels before have shown last."""
    return bool(ways) and told.held.get(shape, ways[0]) != ways[0]


def _caution(shape: Voicing, held: Held) -> str:
    """Return what hands should know of a shape, held as it is shown."""
    return difficulty.caution(shape, next(iter(held[shape]), None))


def _cautions(held: Held, told: Told) -> list[dict[str, Any]]:
    """Return what hands should know of shapes as they are shown; how all end is said last."""
    found: dict[str, list[str]] = {}
    for shape in held:
        said = _caution(shape, held)
        if said and (shape, said) not in told.cautions:
            told.cautions.add((shape, said))
            found.setdefault(said, []).append(shape.digits)
    return [{"shapes": who, "text": text} for who, text in difficulty.cautions_said(found)]


def _pressing(fingering: hand.Fingering) -> str:
    """Return the fingers that press, in the order of the strings: ``"1-3-2"``."""
    return "-".join(str(finger) for finger in fingering.fingers if finger)


def _draw(shown: Shown, held: Sequence[hand.Fingering], size: str, figures: Figures) -> Drawing:
    # In large print a shape that is known stands smaller, without its notes.
    known = size == "known"
    look = BoxLook(
        size="play" if known else size, notes=not known, third=True,
        fingering=held[0] if held else None,
    )  # fmt: skip
    return figures.box(shown, look, marks="fingers", small=known)


def _columns(drawn: Mapping[Voicing, Drawing], size: str, figures: Figures) -> int:
    """Return how many boxes share a row: strings and air apart, or as far as long names need."""
    boxes = list(drawn.values())
    size = "play" if size == "known" else "sheet" if figures.large else size
    air = _AIR_MM[size]
    side = 6.0 * BOX_SIZES[size].side
    slot = max(_slot(drawing, side, air) for drawing in boxes)
    widest = max(drawing.width_mm for drawing in boxes)
    return 1 + int((ROW_MM - widest) / slot + 0.001)


def _close(
    drawn: Mapping[Voicing, Drawing], boxes: Sequence[Mapping[str, Any]], figures: Figures
) -> int:
    """Return how many boxes share a row at the least: what stands beside and below keeps apart."""
    new = [shape for shape, box in zip(drawn, boxes, strict=True) if box["new"]]
    pairs = [pair for row in (list(drawn), new) for pair in pairwise(row)]
    if any(_meet(one, other, figures) for one, other in pairs):
        return _columns(drawn, "plain", figures)
    between = any(_between(one, other, figures) > 1 for one, other in pairs)
    below = [text for box in boxes for text in (box["digits"], box["from"])]
    said = max(text_width(text, figures.least) for text in below) + _NAMES_APART_MM
    side = 6.0 * BOX_SIZES["sheet"].side
    slot = max(
        said,
        *(_slot(drawing, side, _NUMBER_MM if between else _CLOSE_MM) for drawing in drawn.values()),
    )
    # The air at a box's side may reach into the margin, as far as a mark and a number leave it.
    widest = max(drawing.width_mm for drawing in drawn.values()) - 2 * TRIM_MM
    return 1 + int((ROW_MM - widest) / slot + 0.001)


def _meet(one: Voicing, other: Voicing, figures: Figures) -> bool:
    """Whether the number of a fret beside a box would touch the box next to it, set close."""
    first = _between(one, other, figures)
    # For either hand a number faces the highest string of the box next to it.
    near = other if figures.left_handed else one
    return first > 1 and (first > _ONE_DIGIT or near.frets[-1] == window(near.frets)[0])


def _between(one: Voicing, other: Voicing, figures: Figures) -> int:
    """Return the fret whose number stands between two boxes: the right one's, or mirrored."""
    return window((one if figures.left_handed else other).frets)[0]


def _slot(drawing: Drawing, plain_side: float, air: float) -> float:
    side = drawing.origin_mm[0]
    strings = drawing.width_mm - 2 * side + air
    named = drawing.width_mm + _NAMES_APART_MM if side > plain_side + 0.001 else 0.0
    return max(strings, named)
